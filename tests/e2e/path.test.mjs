// The main path in the real app: a person types a room's walls, sees the tiles fall, reads what to buy, closes the
// app, opens it again, and everything is there.
//
// The figures are worked out by hand. A tile of 598 × 298 mm with a joint of 2 mm repeats every 600 × 300 mm. A room
// of 3010 × 2410 mm with a gap of 6 mm at each wall leaves 2998 × 2398 mm = 5 · 600 − 2 by 8 · 300 − 2: five tiles in
// eight rows, 40 whole ones and not one cut, and 40 tiles are 6 cartons of 7. 3.010 · 2.410 = 7.2541 m².
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Stage } from "./stage.mjs";
import { ENTER } from "./webdriver.mjs";

let stage;
before(async () => {
  stage = await Stage.open();
});
after(() => stage?.close());

/** Words first: once a length is typed the keypad stands over the lower part of the form. */
const WORDS = { Name: "Trial tile", "Offsets allowed": "0", "Tiles in a carton": "7" };
const LENGTHS = {
  "Face length": "598",
  "Face width": "298",
  Thickness: "8",
  Joint: "2",
  "Expansion gap at walls": "6",
  "Saw kerf": "2",
  "Narrowest row": "60",
  "Shortest end": "180",
};

/** What the list of figures on a screen says under a name. */
function figure(app, name) {
  const text = `const name = [...document.querySelectorAll("dt")].find((it) => it.textContent.trim() === arguments[0]);
    return name?.nextElementSibling?.firstChild?.textContent.trim()`;
  return app.until(`the figure “${name}”`, text, name);
}

async function makeRoom(app) {
  await app.press("New job");
  await (await app.field("Job")).type("Trial job");
  await app.choose("millimeters");
  await app.press("Start the job");
  await app.press("Add a room");
  await (await app.field("Room")).type("Store room");
  await app.press("Walk it");
  for (const wall of ["3010", "2410", "3010", "2410"]) {
    const waiting = await app.until("an empty field that waits", `const field = document.activeElement;
      return field?.dataset?.entry && field.value === "" ? field.dataset.entry : null`);
    await (await app.find(`[data-entry="${waiting}"]`)).type(wall + ENTER);
  }
  // Four walls make a rectangle; the diagonal that would check it stays unmeasured.
  await app.see("Diagonal");
  await app.press("Close");
}

async function makeArea(app) {
  await app.press("Add a product");
  for (const [label, text] of Object.entries(WORDS)) await (await app.field(label)).replace(text);
  await app.choose("Edges interlock: every tile lies the same way round");
  for (const [label, text] of Object.entries(LENGTHS)) await (await app.field(label)).type(text);
  await app.press("Close");
  await app.press("Save");
  await app.press("Add an area");
  await app.press("Save");
  await app.see("no plan accepted yet");
}

test("from the first wall to what there is to buy, and all of it is there the next day", async () => {
  const app = await stage.start("--phone");
  await makeRoom(app);
  await app.script("history.back()");
  await app.see("7.3 m²");
  await makeArea(app);
  await app.press("Plan");
  assert.equal(await figure(app, "Tiles"), "40");
  assert.equal(await figure(app, "Pieces cut"), "0");
  await app.press("Accept this plan");
  await app.see("This plan is accepted.");
  await app.press("Buy");
  await app.see("Trial tile");
  await app.see("6 cartons");
  await stage.stop();

  // It opens where one was; whichever screen that is, the sheets of the job are one press away.
  const again = await stage.start("--phone");
  await again.press("Rooms");
  await again.see("7.3 m²");
  await again.see("plan accepted");
  await again.press("Plan");
  assert.equal(await figure(again, "Tiles"), "40");
  await again.see("This plan is accepted.");
  await stage.stop();
});
