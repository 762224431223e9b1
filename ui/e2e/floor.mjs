// The floor under it, in Chromium with touch on the real core: walked with the rod, judged, corrected, read again.
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, keys, overflowing, smallTargets, tabTo } from "./harness.mjs";

/** Tells the stories on windows of their own. `job` and `room` are a room that is measured and whose floor is not read. */
export async function floorStories({ story, browser, watch, job, room }) {
  let page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const label = () => page.locator(".strip label");
  const at = (of, where) => `${bridge}/#/job/${of}/room/${where}/floor`;

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

  await story.step("a floor that is not read says where to begin, and is reached from its room", async () => {
    await page.goto(`${bridge}/#/job/${job}/room/${room}`);
    await button("The floor: heights, flatness, correction").tap();
    await button("Read the floor").waitFor();
    await page.getByRole("heading", { name: "Not read yet" }).waitFor();
  });
  await inspect("Floor, not read");

  let places = 0;
  await story.step("the rod is typed at the place shown, and the next one waits", async () => {
    places = (await core("floor.view", { job, room })).stations.length;
    await button("Read the floor").tap();
    for (const [n, rod] of ["4 5 1/8", "4 5 3/8", "4 5 1/2"].entries()) {
      await page.locator(".strip label", { hasText: `Rod at place ${n + 1} of ${places}` }).waitFor();
      await keys(page, rod);
      await button("Next").tap();
    }
    await page.locator(".strip label", { hasText: `Rod at place 4 of ${places}` }).waitFor();
    const { points } = await core("floor.view", { job, room });
    equal(points.map((point) => point.readings[0].text.replaceAll(" ", "")), ['451/8"', '453/8"', '451/2"'], "readings");
  });
  await inspect("Floor, the rod waits");

  await story.step("a place is left for later, and what is typed halfway is there again", async () => {
    const hint = await page.locator(".strip .head p").textContent();
    await button("Later").tap();
    await page.waitForFunction((old) => document.querySelector(".strip .head p")?.textContent !== old, hint);
    await keys(page, "4 4");
    await page.waitForTimeout(400);
    await page.reload();
    await page.getByRole("application").waitFor();
    await button("Read the next place").tap();
    await button("Later").tap();
    await page.locator(".strip input[data-entry]").waitFor();
    equal(await page.locator(".strip input[data-entry]").inputValue(), "44");
    await page.locator(".strip input[data-entry]").fill("");
  });

  await story.step("a rod longer than any rod is refused and kept where it was typed", async () => {
    await keys(page, "9 9 9");
    await button("Next").tap();
    await page.locator(".strip .more.wrong").waitFor();
    equal(await page.locator(".strip input[data-entry]").inputValue(), "999");
    await page.locator(".strip input[data-entry]").fill("");
    await button("Close").tap();
  });

  await story.step("the laser set up anew asks for a point that ties the two", async () => {
    await button("Set up anew").tap();
    await label().filter({ hasText: "to tie the set-ups" }).waitFor();
    await keys(page, "4 3 1/8");
    await button("Next").tap();
    await page.waitForFunction(() => !document.querySelector(".strip label")?.textContent?.includes("to tie"));
    const { setups } = await core("floor.view", { job, room });
    equal(setups.map((one) => one.tie ?? null), [null, null], "what is still to be tied");
    if (await page.locator(".pad").count()) await button("Close").tap();
  });

  await story.step("a slip is put right, and who typed what before is shown", async () => {
    await page.getByRole("button", { name: /^Point ?2/ }).tap();
    await page.getByRole("button", { name: /^Correct\b/ }).first().tap();
    await keys(page, "4 5 1/4");
    await button("Next").tap();
    await page.getByText(/^before: 45 3\/8/).waitFor();
    const { points } = await core("floor.view", { job, room });
    equal(points[1].readings[0].text.replaceAll(" ", ""), '451/4"');
  });

  // The practice job's kitchen is read: the verdict, its worst place, the straightedge, the correction.
  const practice = (await core("jobs.demo")).id;
  await story.step("a floor that was read is judged by itself, with the worst place to show", async () => {
    await page.goto(at(practice, "kitchen"));
    await page.getByRole("heading", { name: "Not flat enough" }).waitFor({ timeout: 90_000 });
    await page.getByRole("button", { name: /^Show where/ }).first().tap();
    await button("Hide it").or(page.getByRole("button", { name: /^Hide it/ })).first().waitFor();
  });
  await inspect("Floor, judged");

  await story.step("a straightedge dragged by its end lies elsewhere and tells the gap there", async () => {
    await button("Lay a straightedge").tap();
    const figure = page.locator(".lies .figure");
    await figure.waitFor();
    const before = await page.locator(".lies").textContent();
    const box = await page.locator(".edge circle.end").first().boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 30, y + 24, { steps: 6 });
    await page.mouse.up();
    await page.waitForFunction((old) => document.querySelector(".lies")?.textContent !== old, before);
    const moved = await page.locator(".lies").textContent();
    await button("Turn").tap();
    await page.waitForFunction((old) => document.querySelector(".lies")?.textContent !== old, moved);
  });
  await inspect("Floor, a straightedge on it");

  await story.step("the correction is worked out with its progress, and says what to do in which order", async () => {
    await button("Put it away").tap();
    await page.locator(".foot").getByRole("button", { name: "Work out the correction" }).tap();
    await page.getByRole("heading", { name: "In this order" }).waitFor({ timeout: 180_000 });
    const { correction } = await core("floor.view", { job: practice, room: "kitchen" });
    holds(correction.patches.length > 0 && correction.needs.length > 0, "patches and what they take");
    holds(correction.cautions.every((one) => one.source), "each caution with its source");
    await page.getByText("Read the floor again at the same points.").waitFor();
  });
  await inspect("Floor, the correction");

  await story.step("once the work is done the same points wait to be read again", async () => {
    const { points } = await core("floor.view", { job: practice, room: "kitchen" });
    await button("The work is done: read again").tap();
    await page.getByLabel("What was done").fill("Filled by the garden side, ground the hump");
    await page.getByLabel("Bags used").fill("2");
    await button("Begin the new round").tap();
    await label().filter({ hasText: `Rod at place 1 of ${points.length}` }).waitFor();
    await button("Close").tap();
    await page.getByText(/2 bags · Filled by the garden side/).waitFor();
  });
  await inspect("Floor, a new round");
  await page.context().close();

  page = await open(browser, "laptop");
  watch(page);
  await story.step("the floor on a laptop, by keyboard: a point on the drawing, its readings; clean in axe", async () => {
    await page.goto(at(job, room));
    await page.getByRole("application").waitFor();
    await tabTo(page, "Floor.");
    await page.keyboard.press("ArrowRight");
    await page.getByRole("button", { name: /^Correct\b/ }).first().waitFor();
    for (const theme of ["light", "dark", "daylight"]) {
      await page.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
      await page.waitForTimeout(60);
      equal(await axeCheck(page), [], `axe in ${theme}`);
    }
    equal(await overflowing(page), false, "wider than the window");
  });
  await page.context().close();
}
