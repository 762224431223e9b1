// The screens in Chromium with real touch against the real core: a job from nothing to what to buy.
// Start a bridge on an empty store with --crew and set DRYLAY_BRIDGE, and DRYLAY_PROGRAM to the program drylay; a second run needs another empty store.
import { writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { backStories } from "./back.mjs";
import { bridge, core, launch, needBridge, open } from "./browser.mjs";
import { crewStories } from "./crew.mjs";
import { floorStories } from "./floor.mjs";
import { groundStories } from "./ground.mjs";
import { moneyStories } from "./money.mjs";
import { papersStories } from "./papers.mjs";
import { phoneStories } from "./phone.mjs";
import { workStories } from "./work.mjs";
import { axeCheck, equal, holds, keys, overflowing, smallTargets, Story, tabTo } from "./harness.mjs";

needBridge();
const story = new Story();
const browser = await launch();
let page = await open(browser, "phone");
const errors = [];
const watch = (one) => {
  one.on("pageerror", (error) => errors.push(error.message));
};
watch(page);
if (process.env.DRYLAY_SHOTS) story.failed = (name) => page.screenshot({ path: `${process.env.DRYLAY_SHOTS}/${name.replaceAll(/\W+/g, "-").slice(0, 60)}.png` });
const tap = (locator) => story.tap(locator);
const button = (name) => page.getByRole("button", { name, exact: true });
const path = async () => decodeURIComponent(new URL(page.url()).hash).split("/");
const lead = () => page.locator(".foot .lead");
const field = () => page.locator(".strip input[data-entry]");
const wait = (ms) => page.waitForTimeout(ms);

/** Looks at a screen as it stands: accessibility, targets, nothing wider than the window. */
async function inspect(name) {
  await story.step(`${name}: clean in axe, 48 px, nothing cut off`, async () => {
    for (const theme of ["light", "dark", "daylight"]) {
      await page.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
      await wait(60);
      equal(await axeCheck(page), [], `axe in ${theme}`);
    }
    await page.evaluate(() => (document.documentElement.dataset.theme = "light"));
    equal(await smallTargets(page), [], "targets under 48 px");
    equal(await overflowing(page), false, "wider than the window");
  });
}

await story.step("before anybody has chosen, screens and core speak the system's language", async () => {
  const first = await open(browser, "phone", { system: "de-AT" });
  watch(first);
  await first.goto(bridge);
  await first.getByRole("heading", { name: "Noch kein Auftrag." }).waitFor();
  equal((await core("draft.list")).language, "de", "kept");
  const refused = await core("job.view", { job: "none" }).catch((error) => error.problem);
  await core("device.speak", { language: "en" });
  const again = await core("job.view", { job: "none" }).catch((error) => error.problem);
  holds(refused.code === again.code && refused.message !== again.message, `the core speaks it too: ${refused.message}`);
  await first.context().close();
});
await page.goto(bridge);
await story.step("an empty store says so and offers a start", async () => {
  await page.getByRole("heading", { name: "No job yet." }).waitFor();
});
await inspect("Jobs, empty");

await story.step("what is typed for a new job is there again after the window was killed", async () => {
  await button("New job").tap();
  await page.getByLabel("Job", { exact: true }).fill("Weir House, ground floor with the long passage");
  await page.getByLabel("Client").fill("M. Adeyemi");
  await wait(300);
  await page.context().close();
  page = await open(browser, "phone");
  watch(page);
  await page.goto(bridge);
  await page.getByLabel("Client").waitFor();
  equal(await page.getByLabel("Job", { exact: true }).inputValue(), "Weir House, ground floor with the long passage");
  equal(await page.getByLabel("Client").inputValue(), "M. Adeyemi");
});
await inspect("Jobs, new job");

let job = "";
await story.step("the job is started and opens", async () => {
  await button("Start the job").tap();
  await page.getByRole("heading", { level: 1, name: /^Weir House/ }).waitFor();
  [, , job] = await path();
  equal((await core("job.view", { job })).card.client, "M. Adeyemi");
});
await inspect("Job, no room");

let room = "";
// Twice a 3-4-5 triangle in units of 37 1/2 in (Euclid I.47): the diagonals of 12' 6" by 9' 4 1/2" are 15' 7 1/2".
const walls = ["1 2 ft 6", "9 ft 4 1/2", "1 2 ft 6", "9 ft 4 1/2"];
const diagonal = "1 5 ft 7 1/2";
await story.step("four walls and two diagonals: from the first tap to the verdict in at most 20 taps beside digits", async () => {
  story.countTaps();
  story.human = true;
  const began = Date.now();
  await tap(button("Add a room"));
  await tap(button("Walk it"));
  await field().waitFor();
  [, , , , room] = await path();
  let others = 0;
  for (const [i, wall] of walls.entries()) {
    await page.locator(".strip label", { hasText: `Wall ${"ABCD"[i]}–${"BCDA"[i]}` }).waitFor();
    others += await keys(page, wall, true);
    await tap(button("Next"));
  }
  for (let i = 0; i < 2; i++) {
    await page.locator(".strip label", { hasText: "Diagonal" }).waitFor();
    const asked = await page.locator(".strip label").textContent();
    others += await keys(page, diagonal, true);
    await tap(button("Next"));
    await page.waitForFunction((old) => document.querySelector(".strip label")?.textContent !== old, asked);
  }
  await page.getByText("Fits").first().waitFor();
  const view = await core("room.view", { job, room });
  equal(view.verdict, "consistent", "verdict");
  const total = story.countTaps() + others;
  const seconds = (Date.now() - began) / 1000;
  story.human = false;
  console.log(`      ${total} taps beside digits, ${seconds.toFixed(1)} s at a thumb's pace (90 s are allowed; a clock fails no test)`);
  holds(total <= 20, `${total} taps`);
  equal(view.ties.length, 2, "diagonals");
});

await button("Measure the next one").or(button("Close")).first().waitFor();
await inspect("Room, walked");
await page.getByRole("button", { name: /^Wall A–B/ }).first().tap();
await inspect("Room, keypad open");

await story.step("a refused reading keeps its text, with the message at its place", async () => {
  if (await page.locator(".pad").count()) await button("Close").tap();
  await page.getByRole("button", { name: /^Wall A–B/ }).first().tap();
  await keys(page, "0 ft");
  await button("Next").tap();
  await page.locator(".strip .more.wrong").waitFor();
  equal(await field().inputValue(), "0' ");
  const wall = (await core("room.view", { job, room })).walls[0];
  equal(wall.reading.text.replace(/\s/g, ""), "12'6\"", "the reading that stands");
  await field().fill("");
});

await story.step("a meter that types like a keyboard fills the waiting field", async () => {
  await page.evaluate(() => document.activeElement?.blur());
  await page.keyboard.type("3.812 m");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => !document.querySelector(".strip label")?.textContent?.includes("A–B"));
  const wall = (await core("room.view", { job, room })).walls[0];
  equal(Math.round(wall.reading.mm * 1000) / 1000, 3812, "millimetres");
  equal(wall.reading.earlier.length, 1, "earlier readings kept");
});

await story.step("undo and redo give the reading back and take it again", async () => {
  if (await page.locator(".pad").count()) await button("Close").tap();
  const read = async () => Math.round((await core("room.view", { job, room })).walls[0].reading.mm);
  await page.getByRole("button", { name: /^Undo: / }).tap();
  await page.getByRole("button", { name: /^Redo: / }).waitFor();
  equal(await read(), 3810);
  await page.getByRole("button", { name: /^Redo: / }).tap();
  await wait(400);
  equal(await read(), 3812);
  await page.getByRole("button", { name: /^Undo: / }).tap();
  await wait(400);
});

await story.step("who and when is there on request, by the i and by tap and hold", async () => {
  await page.getByRole("button", { name: "More on Wall A–B" }).tap();
  await page.locator(".stamps").first().waitFor();
  await inspect("Room, a wall's details");
  await page.getByRole("button", { name: "More on Wall A–B" }).tap();
  const row = page.locator(".measure").nth(1);
  await row.scrollIntoViewIfNeeded();
  const box = await row.boundingBox();
  const client = await page.context().newCDPSession(page);
  const at = { x: box.x + 60, y: box.y + box.height / 2 };
  await client.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [at] });
  await wait(650);
  await client.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  await page.locator(".stamps").first().waitFor();
  equal(await page.locator(".pad").count(), 0, "keypads opened by a hold");
  await page.getByRole("button", { name: "More on Wall B–C" }).tap();
});

await story.step("half a reading is there again after the window was killed, with the keypad open", async () => {
  await page.getByRole("button", { name: /^Wall C–D/ }).first().tap();
  await keys(page, "1 2 ft 5");
  await wait(350);
  await page.context().close();
  page = await open(browser, "phone");
  watch(page);
  await page.goto(bridge);
  await field().waitFor();
  equal(await field().inputValue(), "12' 5");
  holds((await page.locator(".strip label").textContent()).includes("C–D"), "the wall that waits");
  await field().fill("");
  await button("Close").tap();
});

await story.step("a photo is taken in and drawn upon, and a note is written; what is no picture says so", async () => {
  const picture = join(tmpdir(), `drylay-e2e-${process.pid}.png`);
  await writeFile(picture, await page.screenshot());
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), button("Add photos").tap()]);
  await chooser.setFiles([picture, fileURLToPath(import.meta.url)]);
  await page.locator(".strip-of img").waitFor();
  await page.getByText("is not a picture that can be shown here").waitFor();
  await page.getByRole("button", { name: "Photo 1", exact: true }).tap();
  await button("Figure").tap();
  const box = await page.locator(".picture").boundingBox();
  await page.touchscreen.tap(box.x + box.width * 0.2, box.y + box.height * 0.3);
  await page.touchscreen.tap(box.x + box.width * 0.7, box.y + box.height * 0.3);
  await page.getByLabel("Length between the two").fill('3/16"');
  await page.locator("dialog form .lead").tap();
  await page.getByText('Figure 3/16"').waitFor();
});
await inspect("Photo");
await story.step("the note is there beside the photo", async () => {
  await page.locator("dialog").getByRole("button", { name: "Close", exact: true }).tap();
  await button("Write a note").tap();
  await page.getByLabel("Note", { exact: true }).fill("Client keeps the door");
  await page.locator(".pinned form .lead").tap();
  await page.locator(".note").getByText("Client keeps the door").waitFor();
  const list = await core("photos.list", { job });
  equal([list.photos.length, list.photos[0].marks.length, list.notes.length], [1, 1, 1]);
});

await story.step("an opening and a cupboard go into the room", async () => {
  const type = async (label, text) => {
    await page.getByLabel(label, { exact: true }).last().fill(text);
    await wait(120);
  };
  await button("Put in an opening").tap();
  await type("From the first corner", "2'");
  await type("Width", '32"');
  await type("Floor runs in by", '2 1/4"');
  await page.locator("form .lead").tap();
  await page.getByText('@').first().waitFor();
  await button("Add an obstacle").tap();
  await type("What it is", "Hearth");
  await type("From the first wall's corner, along it", "5'");
  await type("From the first wall, into the room", "3'");
  await type("Width", "2'");
  await type("Depth", '18"');
  await page.locator("form .lead").tap();
  await page.getByRole("button", { name: /^Hearth/ }).waitFor();
  const view = await core("room.view", { job, room });
  equal([view.openings.length, view.keepouts.length], [1, 1]);
});
await inspect("Room");

// A room of its own: 5' by 3' 9", diagonals 6' 3" (Euclid I.47: 3-4-5 in units of 15 in).
const measuredJob = (await core("jobs.create", { name: "Boat house", client: "", site: "", units: "imperial" })).id;
const measuredRoom = (await core("rooms.add", { job: measuredJob, name: "Landing", corners: 4 })).id;
for (const [from, to, text] of [["A", "B", "5'"], ["B", "C", `3' 9"`], ["C", "D", "5'"], ["D", "A", `3' 9"`], ["A", "C", `6' 3"`], ["B", "D", `6' 3"`]]) {
  await core("room.edit", { job: measuredJob, room: measuredRoom, edit: { do: "set_reading", from, to, text } });
}
const landing = () => core("room.view", { job: measuredJob, room: measuredRoom });
const fill = async (label, text) => {
  await page.getByLabel(label, { exact: true }).last().fill(text);
  await wait(150);
};
const choose = (name) => page.getByRole("radio", { name, exact: true }).last().tap();
await page.goto(`${bridge}/#/job/${measuredJob}/room/${measuredRoom}`);
await story.step("what the room was measured to is said once, and the verdict follows", async () => {
  await page.getByText("Good for setting out").first().waitFor();
  await page.getByRole("button", { name: /^bare wall/ }).tap();
  await choose("trim");
  await fill("Thickness of the trim", '5/8"');
  await page.locator("form .lead").tap();
  await page.getByText("Good for a quote").first().waitFor();
  const view = await landing();
  equal([view.measured.to, view.measured.thickness.text, view.walls[0].reading.corrected_text !== null], ["trim", '5/8"', true]);
});
await story.step("one reading is held to the bare wall all the same", async () => {
  await page.getByRole("button", { name: "More on Wall A–B" }).tap();
  await choose("bare wall");
  await button("Keep what it was held to").tap();
  await button("Keep what it was held to").waitFor({ state: "detached" });
  equal((await landing()).walls[0].reading.touched, "wall");
});
await story.step("a string shows where a wall comes in", async () => {
  await button("Put in an offset").tap();
  await fill("Along from A", `2' 6"`);
  await fill("String to wall", '1/4"');
  await choose("comes in");
  await button("Put it in").tap();
  await page.locator(".strings strong", { hasText: "in" }).waitFor();
  const { offsets, shape } = await landing();
  equal([offsets.length, offsets[0].out, shape.length], [1, false, 10]);
});
await inspect("Room, details of a wall");
await story.step("what hangs over the floor along a wall, and what the floor is exposed to", async () => {
  await fill("Clear height", '3 1/2"');
  await fill("Comes out by", '2"');
  await button("Keep it").tap();
  await button("What the floor is exposed to").tap();
  await page.getByLabel("the sun shines on it", { exact: true }).check();
  await page.locator("form").filter({ hasText: "Coldest to warmest" }).getByRole("button", { name: "Save" }).tap();
  await page.getByText("the sun shines on it").waitFor();
  const view = await landing();
  equal([view.edges[0].overhang.height.text, view.exposure.settings], ['3 1/2"', ["sunlit"]]);
});
await story.step("a pipe is located from two corners, and a post along a wall", async () => {
  await page.getByRole("button", { name: "More on Wall A–B" }).tap();
  await button("Locate something").tap();
  await fill("From A", "2'");
  await fill("From B", `4'`);
  await fill("Diameter", '2 1/2"');
  await page.locator("form .lead").tap();
  await page.getByRole("button", { name: /^pipe/ }).waitFor();
  await button("Locate something").tap();
  await choose("Post");
  await choose("along a wall");
  await fill("Along from A", "3'");
  await fill("Away from the wall", "1'");
  await choose("square");
  await fill("Size along A–B", '4"');
  await fill("Size away from it", '4"');
  await page.locator("form .lead").tap();
  await page.getByRole("button", { name: /^post/ }).waitFor();
  const { keepouts } = await landing();
  equal(keepouts.map((one) => [one.what, one.located.by, one.outline.length > 3]).sort(), [["pipe", "corners", true], ["post", "wall", true]]);
});
await story.step("two distances that do not meet are told where they are shown", async () => {
  await page.getByRole("button", { name: /^pipe/ }).tap();
  await fill("From B", "2'");
  await page.locator("form .lead").tap();
  await page.getByText("do not meet").first().waitFor();
  await page.getByRole("button", { name: /^pipe/ }).tap();
});
await inspect("Room, something located");
await page.goto(`${bridge}/#/job/${job}/room/${room}`);
await page.getByRole("button", { name: /^Hearth/ }).waitFor();

await story.step("the drawing is worked with keys, and says what it shows", async () => {
  const drawing = page.getByRole("application");
  await drawing.focus();
  holds((await drawing.getAttribute("aria-label")).includes("Wall A–B reads"), "the description names the walls");
  await page.keyboard.press("+");
  await page.keyboard.press("0");
  await page.keyboard.press("Tab");
  const outlined = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  holds(outlined !== "none", "the focus can be seen");
});

await story.step("pinching makes the drawing larger and one finger moves it", async () => {
  const frame = await page.getByRole("application").boundingBox();
  const client = await page.context().newCDPSession(page);
  const where = () => page.evaluate(() => document.querySelector("[role=application] canvas:not([style*='display: none'])").style.transform);
  const [x, y] = [frame.x + frame.width / 2, frame.y + frame.height / 2];
  const before = await where();
  await client.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x: x - 30, y, id: 0 }, { x: x + 30, y, id: 1 }] });
  // Less than the picture is carried before it is painted again at the new size.
  for (let d = 31; d <= 37; d += 1) await client.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: [{ x: x - d, y, id: 0 }, { x: x + d, y, id: 1 }] });
  const pinched = await where();
  holds(pinched !== before && Number(/scale\(([\d.]+)/.exec(pinched)?.[1]) > 1.15, `pinched: ${pinched}`);
  await client.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  await wait(200);
});

await story.step("a tile and an area are set up", async () => {
  await page.getByRole("button", { name: "Back", exact: true }).tap();
  await button("Add a product").tap();
  const figures = { "Face length": "596 mm", "Face width": "297 mm", Thickness: "8.5 mm", Joint: "2.5 mm", "Expansion gap at walls": "8 mm", "Saw kerf": "2.4 mm", "Narrowest row": "60 mm", "Shortest end": "180 mm" };
  await page.getByLabel("Name", { exact: true }).fill("Slate click tile");
  for (const [label, text] of Object.entries(figures)) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByLabel("Tiles in a carton").fill("7");
  await wait(200);
  await inspect("Job, a tile");
  await button("Rules and locking edges").tap();
  await page.getByLabel("Another rule").selectOption("gap");
  await button("Put it in").tap();
  await page.getByLabel("At least so wide", { exact: true }).fill('1/4"');
  await page.getByLabel("The data sheet says it", { exact: true }).check();
  await page.getByLabel("Held at, degrees", { exact: true }).fill("20");
  await page.getByLabel("Where it stands", { exact: true }).last().fill("data sheet");
  if (await page.locator(".pad").count()) await page.locator(".pad").getByRole("button", { name: "Close", exact: true }).tap();
  await lead().tap();
  await page.getByText("The rule has no source.").first().waitFor();
  await inspect("Job, a tile's rules and locking edges");
  await wait(300);
  await page.reload();
  await button("Add a product").tap();
  equal(await page.getByLabel("At least so wide", { exact: true }).inputValue(), '1/4"', "a rule that is not saved yet");
  await page.getByLabel("The data sheet says it", { exact: true }).check();
  await page.getByLabel("Where it stands", { exact: true }).first().fill("data sheet");
  await lead().tap();
  await page.getByRole("button", { name: /^Slate click tile/ }).waitFor();
  await button("Add an area").tap();
  await inspect("Job, an area");
  await lead().tap();
  await page.locator("#job-form").waitFor({ state: "detached" });
  const view = await core("job.view", { job });
  equal([view.products.length, view.areas.length, view.areas[0].rooms], [1, 1, [room]]);
  const { rules, engagement } = view.products[0].demands;
  equal([rules.map((one) => [one.kind, one.source]), engagement.long, engagement.angle], [[["gap", "data sheet"]], ["angle"], "20"]);
});
await inspect("Job");

let area = "";
await story.step("the plan is searched for", async () => {
  await page.getByRole("navigation").getByRole("button", { name: /Plan/ }).tap();
  await page.getByRole("application").waitFor();
  area = (await core("job.view", { job })).areas[0].id;
  const begun = page.waitForResponse(/plan\.search$/);
  await button("Find the best layout").tap();
  await begun;
  // The plan that stood before can be taken too: what counts is that the search has come to its end.
  await wait(150);
  await page.locator("progress").waitFor({ state: "detached", timeout: 60_000 });
  await button("Accept this plan").waitFor();
});

await story.step("another plan is laid beside it, with what differs, and one of the two stays", async () => {
  const answered = page.waitForResponse(/plan\.compare$/);
  await button("Side by side").first().tap();
  await button("Back to one").waitFor();
  const beside = await (await answered).json();
  const line = beside.lines.find((one) => one.differs);
  const row = page.getByRole("row").filter({ has: page.getByRole("rowheader", { name: line.words, exact: true }) });
  const cells = (await row.locator("td").allTextContents()).map((text) => text.replace(/better:|✓/g, "").trim());
  equal(cells, [line.one, line.other], line.words);
});
await inspect("Plan, two side by side");

await story.step("of the two, one stays and is taken", async () => {
  await page.getByRole("radio", { name: "This one" }).tap();
  await page.getByRole("application", { name: /^This one/ }).waitFor();
  await button("Back to one").tap();
  await button("Accept this plan").tap();
  await page.getByText("This plan is accepted.").waitFor();
  holds((await core("plan.view", { job, area })).accepted, "the choice is stored");
});
await inspect("Plan");

const shutPad = async () => {
  if (await page.locator(".pad").count()) await button("Close").tap();
};
await story.step("what the layout should keep to is set on the plan, and refused at its place", async () => {
  await button("What it should keep to").tap();
  await page.getByLabel(/^Start at wall/).selectOption({ label: "C–D" });
  await page.getByLabel("A–B", { exact: true }).check();
  await page.getByLabel(/^Centered on/).selectOption({ label: (await core("prefer.view", { job, area })).features.at(-1).words });
  await page.getByLabel("No short cut in doorways", { exact: true }).check();
  await button("Keep to this").tap();
  await page.getByText("No length is written.").first().waitFor();
  await inspect("Plan, what it should keep to");
  await page.getByLabel("Nothing shorter there than", { exact: true }).fill('6"');
  await shutPad();
  await button("Keep to this").tap();
  await page.getByText(/^Kept\. Search again/).waitFor();
  const stands = await core("prefer.view", { job, area });
  equal([stands.start, stands.whole_rows, stands.centre.on !== null, stands.doorways.least.text], [["C", "D"], [["A", "B"]], true, '6"']);
  await core("prefer.set", { job, area, whole_rows: [], slide: false });
});

await story.step("the plan that is taken is given out, and stands as what was given out", async () => {
  await button("Give this plan out").tap();
  await page.getByText("Plan no. 1").waitFor();
  await page.getByText("The plan as it stands is this one.").waitFor();
  equal(await button("Give this plan out").count(), 0, "the same plan is given out once");
  equal((await core("issues.list", { job, area })).issues.length, 1);
});

let piece = "";
await story.step("a piece that is pointed at shows what it is, and its cut card opens", async () => {
  // Beside the hearth that stands in the middle of this room.
  const frame = await page.getByRole("application").boundingBox();
  await page.touchscreen.tap(frame.x + frame.width * 0.35, frame.y + frame.height * 0.62);
  await button("Cut card").waitFor();
  await inspect("Plan, a piece pointed at");
  await button("Cut card").tap();
  await page.getByRole("heading", { level: 1, name: /^Piece / }).waitFor();
  piece = (await path()).at(-1);
  equal((await core("piece.view", { job, area, piece })).id, piece);
});
await story.step("what is noted on a piece stands on its card and names the piece", async () => {
  await button("Write a note").tap();
  await page.getByLabel("Note", { exact: true }).fill("Lip chipped at the corner, laid under the shelf");
  await page.locator(".pinned .lead").tap();
  await page.getByText("Lip chipped at the corner, laid under the shelf").waitFor();
  const [note] = (await core("photos.list", { job })).notes.filter((one) => one.pin?.what === "piece");
  equal(note.pin.item, `${area}/${piece}`);
  holds(note.pin.words.includes(piece), note.pin.words);
});
await inspect("Cut card");

await story.step("the chalk line is told: two marks, a check and both ends of the last row", async () => {
  await page.goto(`${bridge}/#/job/${job}/plan/${area}`);
  await button("Chalk line").tap();
  const out = await core("plan.set_out", { job, area });
  await page.getByText("Check diagonal").waitFor();
  await page.getByText(out.check_words).waitFor();
  await page.getByText(out.marks[0].words).first().waitFor();
  // It is drawn as well: the drawing says so to whoever cannot see it.
  await page.getByLabel(out.words).waitFor();
});
await inspect("Plan, the chalk line");
await story.step("the last tile of a row is told from the measured gap", async () => {
  await button("Last tile").tap();
  equal(await page.getByLabel(/The chalk line is/).count(), 0, "no line is drawn that nobody asked for");
  await page.getByLabel("Gap on the side of row 1, last face to wall", { exact: true }).fill("412 mm");
  await shutPad();
  await button("What to cut").tap();
  const cut = await core("plan.last_tile", { job, area, gap: "412 mm", gap_other: "" });
  await page.getByText(cut.words).waitFor();
  await page.getByText(cut.low.text, { exact: true }).waitFor();
});
await inspect("Plan, the last tile");
await story.step("a row that is measured is kept, forecasts the last one, and can be taken back", async () => {
  await button("As laid").tap();
  const before = await core("plan.set_out", { job, area });
  const row = before.measurable[0] + 1;
  await page.getByLabel("Which row").selectOption(String(row));
  // Two rows beyond the line, three millimetres further than the tile says.
  await page.getByLabel("Its far edge at the row's start", { exact: true }).fill("602 mm");
  await page.getByLabel("Its far edge at the row's end", { exact: true }).fill("604 mm");
  await shutPad();
  await button("Keep this measurement").tap();
  await page.getByText(`Rows after ${row} are planned around what is laid.`).waitFor();
  equal((await core("plan.set_out", { job, area })).laid.map((one) => one.row), [row]);
});
await inspect("Plan, as laid");
await story.step("and the plan is as it was once the measurement is taken back", async () => {
  await page.getByRole("button", { name: /^Take back the measurement/ }).tap();
  await page.getByText(/^Measure a laid row's far edge/).waitFor();
  equal((await core("plan.set_out", { job, area })).as_it_lies, null);
});

await story.step("what to buy is counted from the plan", async () => {
  await page.goto(`${bridge}/#/job/${job}/buy`);
  await page.locator("details").first().waitFor();
  await page.locator("summary").first().tap();
  const { lines } = await core("buy.view", { job });
  holds(lines.length > 0 && lines[0].quantity > 0, "lines to buy");
});
await inspect("Buy");

await story.step("this device can be named", async () => {
  await page.goto(`${bridge}/#/device`);
  await page.getByLabel("Called").fill("Site phone");
  await page.locator("form", { hasText: "Called" }).getByRole("button").tap();
  await wait(300);
  equal((await core("device.view")).name, "Site phone");
});
await inspect("This device");

await story.step("a place that is not there says so and does not break", async () => {
  await page.goto(`${bridge}/#/job/nowhere`);
  await page.getByRole("alert").filter({ hasText: "There is no job nowhere" }).waitFor();
});

await story.step("the sheet that was open last opens again, however soon the window was closed", async () => {
  await page.goto(`${bridge}/#/job/${job}/plan/${area}`);
  await page.getByRole("application").waitFor();
  await page.getByRole("navigation").getByRole("button", { name: /Buy/ }).tap();
  await page.getByRole("heading", { level: 1, name: "Buy" }).waitFor();
  await page.context().close();
  page = await open(browser, "phone");
  watch(page);
  await page.goto(bridge);
  await page.getByRole("heading", { level: 1, name: "Buy" }).waitFor();
});

await floorStories({ story, browser, watch, job, room });
await moneyStories({ story, browser, watch });
await papersStories({ story, browser, watch });
await workStories({ story, browser, watch });
await backStories({ story, browser, watch });

const practice = (await core("jobs.demo")).id;
await groundStories({ story, browser, watch, job: practice, room: "kitchen" });
await crewStories({ story, browser, watch });
await phoneStories({ story, browser, watch });

// The same screens on a laptop: in axe, and from one to the next with nothing but a keyboard.
await page.context().close();
page = await open(browser, "laptop");
watch(page);
const key = (name) => page.keyboard.press(name);

async function laptop(name, hash, act) {
  await story.step(`${name} on a laptop: clean in axe, nothing cut off`, async () => {
    await page.goto(`${bridge}/${hash}`);
    await page.reload();
    await page.locator("h1").waitFor();
    await act?.();
    await wait(250);
    for (const theme of ["light", "dark", "daylight"]) {
      await page.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
      await wait(60);
      equal(await axeCheck(page), [], `axe in ${theme}`);
    }
    equal(await overflowing(page), false, "wider than the window");
  });
}
await laptop("Jobs", "#/jobs");
await laptop("Job", `#/job/${job}`);
await laptop("Room", `#/job/${job}/room/${room}`);
await laptop("Room, keypad open", `#/job/${job}/room/${room}`, () => page.getByRole("button", { name: /^Wall A–B/ }).first().click());
await laptop("Room, a wall's details", `#/job/${job}/room/${room}`, () => page.getByRole("button", { name: "More on Wall A–B" }).click());
await laptop("Plan", `#/job/${job}/plan/${area}`, () => page.getByRole("application").waitFor());
await laptop("Plan, two side by side", `#/job/${job}/plan/${area}`, async () => {
  await button("Find the best layout").click();
  await button("Side by side").first().click({ timeout: 60_000 });
  await button("Back to one").waitFor();
});
await laptop("Plan, the chalk line", `#/job/${job}/plan/${area}`, () => button("Chalk line").click());
await laptop("Cut card", `#/job/${job}/plan/${area}/piece/${piece}`);
await laptop("Buy", `#/job/${job}/buy`);
await laptop("Quote", `#/job/${job}/quote`);
await laptop("This device", "#/device");

await story.step("by keyboard alone: from the jobs to a room, a reading typed, and back", async () => {
  await page.goto(`${bridge}/#/jobs`);
  await page.reload();
  await tabTo(page, "Weir House");
  await key("Enter");
  await page.getByRole("heading", { level: 1, name: /^Weir House/ }).waitFor();
  await tabTo(page, "Room 1");
  await key("Enter");
  await page.getByRole("heading", { level: 1, name: "Room 1" }).waitFor();
  await tabTo(page, "Wall B–C");
  await key("Enter");
  await field().waitFor();
  await page.keyboard.type(`9' 4 5/8"`);
  await key("Enter");
  await page.waitForFunction(() => !document.querySelector(".strip label")?.textContent?.includes("B–C"));
  const wall = (await core("room.view", { job, room })).walls[1];
  equal(Math.round(wall.reading.mm * 1000) / 1000, 2860.675, "9 ft 4 5/8 in in millimetres");
  if (await page.locator(".pad").count()) await key("Escape");
  await page.locator(".pad").waitFor({ state: "detached" });
  await tabTo(page, "Back");
  await key("Enter");
  await page.getByRole("heading", { level: 1, name: /^Weir House/ }).waitFor();
});

await story.step("by keyboard alone: to the plan, to a piece on the drawing, to its cut card, to what to buy", async () => {
  await tabTo(page, "2Plan");
  await key("Enter");
  await page.getByRole("application").waitFor();
  await tabTo(page, "Plan.");
  await key("ArrowRight");
  await page.getByRole("button", { name: "Cut card" }).waitFor();
  await tabTo(page, "Cut card");
  await key("Enter");
  await page.getByRole("heading", { level: 1, name: /^Piece / }).waitFor();
  await tabTo(page, "Next piece");
  await key("Enter");
  await tabTo(page, "Back");
  await key("Enter");
  await page.getByRole("application").waitFor();
  await tabTo(page, "3Buy");
  await key("Enter");
  await page.getByRole("heading", { level: 1, name: "Buy" }).waitFor();
});

await story.step("nothing was thrown on any screen", async () => equal(errors, []));
await browser.close();
story.end();
