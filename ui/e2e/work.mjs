// The work on a floor in Chromium with touch on the real core: what is next, marks in one tap, the saw, notes, stock, the touch lock.
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, overflowing, smallTargets } from "./harness.mjs";

/** Eight rows of five: the end of each row measured first, row 8 ripped ahead. The names are long on purpose. */
const SHEET = JSON.stringify({
  drylay: 1, units: "metric", job: { name: "Boat house with the long landing stage" },
  products: [{ id: "grey", name: "Grey tile", face: { length: 598, width: 298 }, thickness: 8, joint: 2, edge_gap: 6, kerf: 2, clearance: 2, interlock: true, offsets: ["0"], min_row_width: 60, min_end_length: 180, carton: { tiles: 7, kg: 15 } }],
  rooms: [{ id: "store", name: "Oar store", corners: ["A", "B", "C", "D"], outline: [[0, 0], [2990, 0], [2990, 2350], [0, 2350]], openings: [{ id: "gate", wall: ["A", "B"], start: 1000, width: 900 }], edges: [{ wall: ["C", "D"], trim_covers: 15 }] }],
  areas: [{ id: "floor", rooms: ["store"], product: "grey", layout: { along: ["A", "B"], offset: "0", first_row: 298, shift: 598 } }],
});

/** A job whose plan was given out; `given` leaves it at a plan that nobody took. */
export async function workJob(given = true) {
  const { id: job } = await core("jobs.import", { sheet: SHEET });
  const area = (await core("job.view", { job })).areas[0].id;
  if (given) {
    const { choice } = await core("plan.view", { job, area });
    await core("plan.accept", { job, area, choice: choice.token });
    await core("issues.make", { job, area });
  }
  return { job, area };
}

/** Tells the stories on a window of their own. */
export async function workStories({ story, browser, watch }) {
  const page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const part = (name) => page.getByRole("radio", { name, exact: true }).tap();
  const { job, area } = await workJob();
  const work = async () => (await core("work.view", { job, area })).area;
  const laid = async (id) => (await work()).pieces.find((one) => one.id === id).done;

  async function inspect(name) {
    await story.step(`${name}: clean in axe, 48 px, nothing cut off`, async () => {
      for (const theme of ["light", "dark", "daylight"]) {
        await page.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
        await page.waitForTimeout(60);
        equal(await axeCheck(page), [], `axe in ${theme}`);
      }
      await page.evaluate(() => (document.documentElement.dataset.theme = "light"));
      equal(await smallTargets(page), [], "targets under 48 px");
      equal(await overflowing(page), false, "wider than the window");
    });
  }

  await story.step("a floor whose plan was not given out says so and leads to the plan", async () => {
    const none = await workJob(false);
    await page.goto(`${bridge}/#/job/${none.job}/work`);
    await page.getByText("No plan was given out for this area.").waitFor();
    await inspect("Work, nothing given out");
    await button("To the plan").tap();
    await page.getByRole("application").waitFor();
    await page.getByRole("navigation").getByRole("button", { name: /Work/ }).tap();
    await page.getByText("No plan was given out for this area.").waitFor();
  });

  await story.step("one tap and the piece is laid, and the next one stands there", async () => {
    await page.goto(`${bridge}/#/job/${job}/work`);
    await button("1-1 is laid").tap();
    await button("1-2 is laid").waitFor();
    equal(await laid("1-1"), "laid");
    await button("Row 1 is laid").tap();
    await button("2-1 is laid").waitFor();
    equal((await work()).pieces_laid, 5, "the row");
  });
  await inspect("Work, laying");

  await story.step("the chalk line of another plan than the one that is laid by says so", async () => {
    const other = await workJob();
    await page.goto(`${bridge}/#/job/${other.job}/work`);
    await button("Chalk line").tap();
    await page.getByText("Check diagonal").waitFor();
    const warning = page.getByText(/^▲ The plan as it is now is not no\. 1/);
    equal(await warning.count(), 0, "it is the same plan");
    // A row is measured on another device.
    const row = { job: other.job, area: other.area, row: 3, at_start: "604", at_end: "604" };
    const { laid: [measured] } = await core("rows.measure", row);
    await warning.waitFor();
    await inspect("Work, the line of another plan");
    await core("rows.forget", { job: other.job, area: other.area, id: measured.id });
    await warning.waitFor({ state: "detached" });
    await page.goto(`${bridge}/#/job/${job}/work`);
    await button("2-1 is laid").waitFor();
  });

  await story.step("all up to a piece that is pointed at, taken up again, and undone", async () => {
    await page.getByRole("button", { name: /^Row 3\s*0 of 5/ }).tap();
    await button("All up to 3-1").tap();
    await button("3-2 is laid").waitFor();
    equal((await work()).pieces_laid, 11, "up to here");
    await page.getByRole("button", { name: /^Undo: 6 pieces laid/ }).tap();
    await button("2-1 is laid").waitFor();
    equal((await work()).pieces_laid, 5, "undone");
    const drawing = page.getByRole("application");
    await drawing.focus();
    await page.keyboard.press("ArrowRight");
    const named = page.locator(".next .id");
    const id = (await named.textContent()) ?? "";
    holds(/^\d+-\d+$/.test(id), `a piece by keyboard: ${id}`);
    await core("work.mark", { job, area, plan: (await work()).plan, pieces: [id], reach: "piece", state: "laid" });
    await button(`Take ${id} up`).tap();
    await button(`${id} is laid`).waitFor();
    equal(await laid(id), "open");
    await page.keyboard.press("Escape");
  });

  await story.step("the saw: four rips as one, a card that reads from a metre, and a gap that is measured first", async () => {
    await part("Cut");
    await page.getByRole("heading", { name: "Measure first" }).waitFor();
    await page.getByRole("button", { name: "8-1, 8-2, 8-3, 8-4: All 4 are cut" }).waitFor();
    await inspect("Work, the saw");
    await page.getByRole("button", { name: "8-1, 8-2, 8-3, 8-4: All 4 are cut" }).tap();
    await page.getByText("Nothing waits for the saw here.").first().waitFor();
    equal([await laid("8-1"), await laid("8-4")], ["cut", "cut"]);
    await button("Cut card 2-5").tap();
    await page.getByRole("heading", { level: 1, name: "Piece 2-5" }).waitFor();
    await page.getByLabel("Gap on the side of row 1, last face to wall", { exact: true }).fill("588 mm");
    if (await page.locator(".pad").count()) await page.locator(".pad").getByRole("button", { name: "Close", exact: true }).tap();
    await button("What to cut").tap();
    await page.locator("p.figure", { hasText: "578 mm" }).waitFor();
    const largest = await page.evaluate(() => Math.max(...[...document.querySelectorAll(".body *")].map((one) => parseFloat(getComputedStyle(one).fontSize))));
    equal(await page.locator("p.figure").evaluate((one) => parseFloat(getComputedStyle(one).fontSize)), largest, "the cut is the largest figure");
    await inspect("Work, a piece at the saw");
    await button("It is cut").tap();
    await button("2-5 is laid").waitFor();
    equal(await laid("2-5"), "cut");
    await page.getByRole("button", { name: "Back", exact: true }).tap();
  });

  await story.step("a lip that stands up is noted where it is, with what is allowed", async () => {
    await part("Noted");
    await page.getByRole("radio", { name: "lippage", exact: true }).tap();
    await page.getByLabel("Piece", { exact: true }).fill("1-2");
    await page.getByLabel("How much", { exact: true }).fill("1.2 mm");
    if (await page.locator(".pad").count()) await page.locator(".pad").getByRole("button", { name: "Close", exact: true }).tap();
    await page.getByLabel("In words", { exact: true }).fill("at the post by the gate");
    await button("Keep the note").tap();
    await page.getByText("ANSI A108.02-2013, 4.3.7").waitFor();
    const [note] = (await work()).problems;
    equal([note.what, note.piece, note.measure.text], ["lippage", "1-2", "1.2 mm"]);
    await inspect("Work, noted");
    await button("Settled").tap();
    await button("Not settled").waitFor();
    equal((await work()).problems[0].settled, true);
  });

  await story.step("what was delivered is written down, and what is short is said while there is time", async () => {
    await part("Stock");
    await page.getByText("What was delivered is not written down").waitFor();
    await page.getByLabel("Cartons delivered", { exact: true }).fill("a few");
    await button("Write the delivery down").tap();
    await page.getByText("is not a whole number").waitFor();
    await page.getByLabel("Cartons delivered", { exact: true }).fill("5");
    await page.getByLabel("Lot or shade on them", { exact: true }).fill("B7");
    await button("Write the delivery down").tap();
    await page.getByText(/too few\. Cartons to order now: \d+/).waitFor();
    equal((await work()).stock.delivered, 35);
    await page.getByLabel("Lot or shade", { exact: true }).fill("B7");
    await page.getByLabel("From row", { exact: true }).fill("1");
    await page.getByLabel("To row", { exact: true }).fill("2");
    await button("Keep the lot").tap();
    await page.getByText("rows 1 to 2").waitFor();
  });
  await inspect("Work, stock");

  await story.step("grouting: the next section, washed in one tap, and who may walk where, when", async () => {
    await part("Grout");
    await page.getByText("Section 1", { exact: true }).first().waitFor();
    await inspect("Work, grouting");
    await button("Section 1 is washed").tap();
    await button("Section 2 is washed").waitFor();
    await page.getByText("Wet: haze comes off in 3 h 00 min").waitFor();
    await page.getByLabel("Minutes ago", { exact: true }).fill("soon");
    await button("Section 2 is washed").tap();
    await page.getByText("is not a whole number of minutes").waitFor();
    await page.getByLabel("Minutes ago", { exact: true }).fill("200");
    await button("Section 2 is washed").tap();
    await page.getByText("Nobody walks there for 20 h 40 min").waitFor();
    equal((await core("grout.view", { job, area })).sections.slice(0, 3).map((one) => one.phase), ["wet", "haze", "open"]);
    await page.getByLabel("Name of the grout", { exact: true }).fill("Flex 8");
    await page.getByLabel("Hours to light foot traffic", { exact: true }).fill("12");
    await button("Go by this").tap();
    await page.getByText("Foot traffic and cure as Flex 8 says").waitFor();
    await button("Section 2: It is not done").tap();
    await button("Section 2 is washed").waitFor();
  });
  await inspect("Work, grout that waits");

  await story.step("a gate says in one line what is missing, is passed with a reason or hidden, and the step has its cautions", async () => {
    await part("Steps");
    const gate = page.locator("li", { hasText: "The client has not agreed to the layout." });
    await gate.getByRole("button", { name: "Go on, with a reason" }).tap();
    await gate.getByRole("button", { name: "Go on", exact: true }).tap();
    await page.getByText("No reason is written.").waitFor();
    await gate.getByLabel("Why it goes on anyway").fill("agreed by telephone, written confirmation follows");
    await gate.getByRole("button", { name: "Go on", exact: true }).tap();
    await page.getByText("Went on anyway: agreed by telephone, written confirmation follows").waitFor();
    await button("Hide: The client has not agreed to the shade.").tap();
    await page.getByText("The client has not agreed to the shade.").waitFor({ state: "detached" });
    await button("Lay: Start").tap();
    await button("Lay: Done").waitFor();
    await page.getByText("Wet saws and mixers on a ground-fault interrupter").waitFor();
    await page.getByText("weighs 15 kg").last().waitFor();
    const { stages } = await core("stages.view", { job });
    const lay = stages.find((one) => one.stage === "lay");
    equal([lay.state, lay.gates.find((one) => one.id === "client/layout").passed.reason], ["begun", "agreed by telephone, written confirmation follows"]);
  });
  await inspect("Work, steps");

  await story.step("the day's note is written by the marks and kept as it is changed", async () => {
    await part("Lay");
    await button("The day's note").tap();
    const note = page.getByLabel(/^Note of \d{4}-/);
    await note.waitFor();
    const told = await note.inputValue();
    holds(/\d+ laid/.test(told) && told.includes("Lippage"), told);
    await note.fill(`${told}\nClient was here.`);
    await inspect("Work, the day's note");
    await button("Keep the note of the day").tap();
    await page.getByText("Client was here.").waitFor();
    holds((await core("day.view", { job })).kept.endsWith("Client was here."), "kept");
  });
  await story.step("a chosen cell is read by its name alone, without the dot before it", async () => {
    const client = await page.context().newCDPSession(page);
    const { nodes } = await client.send("Accessibility.getFullAXTree");
    const radios = nodes.filter((node) => node.role?.value === "radio" && !node.ignored);
    const chosen = radios.filter((node) => node.properties.some((one) => one.name === "checked" && one.value.value === "true"));
    holds(chosen.some((node) => node.name.value === "Lay"), `chosen: ${chosen.map((node) => node.name.value)}`);
    equal(radios.filter((node) => node.name.value.includes("●")).length, 0, "no dot in a name");
    await client.detach();
  });

  await story.step("the clock in one tap, hours that are typed, and both against the quote", async () => {
    await core("books.read", { what: "rates", text: "task,unit,per_hour,hourly\nlay,m2,2.4,62.50\ngrout,m2,6,55\n" });
    await part("Time");
    await page.getByText("Against the quote as it stands; none was signed.").waitFor();
    await button("Start: Laying").tap();
    await page.getByText("Your clock runs").waitFor();
    await page.getByText("A clock that runs is not counted until it is stopped.").waitFor();
    await inspect("Work, a clock that runs");
    await page.getByRole("button", { name: /^Stop: .*, Laying$/ }).tap();
    await page.getByText("Your clock runs").waitFor({ state: "detached" });
    await page.getByLabel("Task", { exact: true }).selectOption({ label: "Cutting" });
    await button("Type hours").tap();
    await page.getByLabel("Time at: Cutting", { exact: true }).fill("all day");
    await button("Write the hours down").tap();
    await page.getByText("is not a time of one person at one stretch").waitFor();
    await page.getByLabel("Time at: Cutting", { exact: true }).fill("4:30");
    await page.getByLabel("People", { exact: true }).fill("2");
    await inspect("Work, hours that are typed");
    await button("Write the hours down").tap();
    await page.getByText("Cutting, 2 people, 4.5 h each").waitFor();
    await page.getByRole("row", { name: /^Laying of it Cutting 9 h/ }).waitFor();
    await page.getByText(/h over the quote/).first().waitFor();
    await inspect("Work, time against the quote");
    await button("Look at the finished jobs").tap();
    await page.getByText("No job says anything yet").waitFor();
    await core("stages.set", { job, stage: "lay", to: "finish" });
    await page.goto(`${bridge}/#/jobs`);
    await page.goto(`${bridge}/#/job/${job}/work`);
    await part("Time");
    await button("Look at the finished jobs").tap();
    await page.getByText("One job is no spread").first().waitFor();
    await inspect("Work, the crew's own rates");
    const { rates } = await core("learned.view", {});
    const laying = rates.find((one) => one.task === "lay");
    await button(`Laying: use ${laying.suggests}`).tap();
    await page.getByText("The shop uses this rate.").waitFor();
    holds((await core("books.view", {})).rates.includes(`lay,m2,${Number(laying.figure)},`), "taken over");
  });

  await story.step("the walk-through: a room looked at, a point with who and until when, and a name that signs", async () => {
    await part("Hand over");
    await page.getByText("Not looked at yet: Oar store.").waitFor();
    await inspect("Work, the walk-through");
    await button("Oar store: Looked at").tap();
    await button("Oar store: Not looked at").waitFor();
    await button("Write a point down").tap();
    await page.getByLabel("What was seen", { exact: true }).fill("Strip at the gate stands proud of the threshold by a hair");
    await page.getByLabel("Who fixes it", { exact: true }).fill("Ana");
    await page.getByLabel("Until, such as 2026-03-14", { exact: true }).fill("soon");
    await button("Keep the point").tap();
    await page.getByText("soon is not a day.").waitFor();
    await page.getByLabel("Until, such as 2026-03-14", { exact: true }).fill("2020-03-14");
    await inspect("Work, a point that is written");
    await button("Keep the point").tap();
    await page.getByText("Overdue: Ana fixes it, until 2020-03-14").waitFor();
    await button("Signed by this name").tap();
    await page.getByText("Nobody has signed.").waitFor();
    await page.getByLabel("Name of whoever takes it over", { exact: true }).fill("C. Ferry");
    await button("Signed by this name").tap();
    await page.getByText("Everything in it is the same now.").waitFor();
    equal((await core("stages.view", { job })).stages.find((one) => one.stage === "handover").state, "finished");
    await page.getByRole("button", { name: /^Fixed: Strip at the gate/ }).tap();
    await page.getByText("Changed since: points.").waitFor();
    await inspect("Work, a handover that was signed");
    await part("Lay");
  });
  await story.step("years later the tile is pointed at: causes, first thing to open, steps, record", async () => {
    await page.goto(`${bridge}/#/job/${job}/work/${area}/piece/1-2`);
    await button("Call-back on this tile").tap();
    await page.getByText("Lippage was noted at 1-2.").waitFor();
    await page.getByText("never to the floor below").waitFor();
    await page.getByLabel("What was reported", { exact: true }).fill("clicks underfoot");
    await button("Write the call-back down").tap();
    await page.getByRole("heading", { name: "Written down before" }).waitFor();
    equal((await core("callback.view", { job, area, piece: "1-2", symptom: "loose" })).records.map((one) => one.reported), ["clicks underfoot"]);
    await inspect("Work, a call-back");
    await page.goto(`${bridge}/#/job/${job}/work`);
  });

  await story.step("with gloves on everything that is touched is larger, on this device, until they are off", async () => {
    await page.goto(`${bridge}/#/device`);
    await page.getByRole("radio", { name: "gloves: larger to touch", exact: true }).tap();
    for (const shown of ["Lay", "Cut", "Time", "Hand over"]) {
      await page.goto("about:blank");
      await page.goto(`${bridge}/#/job/${job}/work`);
      await part(shown);
      await page.waitForLoadState("networkidle");
      equal(await smallTargets(page, 59.5), [], `targets under 60 px, ${shown}`);
      equal(await overflowing(page), false, `wider than the window, ${shown}`);
    }
    await page.goto(`${bridge}/#/device`);
    await page.getByRole("radio", { name: "bare", exact: true }).tap();
    await page.goto(`${bridge}/#/job/${job}/work`);
    await button("Lock the screen against splashes").waitFor();
  });

  await story.step("a splash does not open the lock, a finger that stays does, and a keyboard at once", async () => {
    await button("Lock the screen against splashes").tap();
    await page.getByRole("dialog").waitFor();
    await inspect("Work, locked");
    await button("Hold to unlock").tap();
    equal(await page.getByRole("dialog").count(), 1, "a tap is no hold");
    const box = await button("Hold to unlock").boundingBox();
    const client = await page.context().newCDPSession(page);
    await client.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x: box.x + box.width / 2, y: box.y + box.height / 2 }] });
    await page.getByRole("dialog").waitFor({ state: "detached" });
    await client.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await button("Lock the screen against splashes").tap();
    await button("Hold to unlock").focus();
    await page.keyboard.press("Enter");
    await page.getByRole("dialog").waitFor({ state: "detached" });
  });
  await page.context().close();

  await story.step("one timer waits for what is due next, and says it on whichever sheet is open", async () => {
    const later = await open(browser, "phone");
    watch(later);
    await later.clock.install();
    await later.goto(`${bridge}/#/job/${job}/work`);
    await later.getByRole("radio", { name: "Grout", exact: true }).tap();
    await later.getByText(/^▲ Wet: haze comes off/).waitFor();
    await later.getByRole("navigation").getByRole("button", { name: /Rooms/ }).tap();
    await later.getByRole("heading", { level: 1, name: /^Boat house/ }).waitFor();
    await later.clock.fastForward("03:00:10");
    await later.getByRole("alert").getByText("Grout: haze may be taken off now.").waitFor();
    await later.getByRole("button", { name: "Seen", exact: true }).tap();
    await later.getByText("Grout: haze may be taken off now.").waitFor({ state: "detached" });
    await later.context().close();
  });

  const wide = await open(browser, "laptop");
  watch(wide);
  await story.step("Work on a laptop: clean in axe, nothing cut off", async () => {
    await wide.goto(`${bridge}/#/job/${job}/work`);
    await wide.getByRole("application").waitFor();
    for (const theme of ["light", "dark", "daylight"]) {
      await wide.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
      await wide.waitForTimeout(60);
      equal(await axeCheck(wide), [], `axe in ${theme}`);
    }
    equal(await overflowing(wide), false, "wider than the window");
  });
  await wide.context().close();
}
