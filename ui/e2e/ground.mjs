// What carries a floor and its heights, in Chromium with touch on the real core: found, said, put right, kept halfway.
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, keys, overflowing, smallTargets, tabTo } from "./harness.mjs";

/** Tells the stories on a window of its own. `job` is the practice job. */
export async function groundStories({ story, browser, watch, job, room }) {
  const page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const part = (name) => page.getByRole("region", { name, exact: true });

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

  await story.step("the base is reached from its room and says what stops the work, with its source", async () => {
    await page.goto(`${bridge}/#/job/${job}/room/${room}`);
    await button("The base: moisture, what lies there, joists, hazards").tap();
    await page.getByRole("heading", { name: "Something must be settled before work begins." }).waitFor();
    await part("Found").getByText("Asbestos is presumed present: built 1974").waitFor();
    await part("Found").getByText("29 CFR 1926.1101").first().waitFor();
    await part("Asked by what is laid here").getByText("At most 12% in the wood.").waitFor();
  });
  await inspect("Base");

  await story.step("an answer is said in its form, and what is typed halfway is there again", async () => {
    await button("Add: Hazards").tap();
    await page.getByLabel("Hazard", { exact: true }).selectOption("asbestos");
    await page.getByLabel("What is known").selectOption("absent");
    await page.getByLabel("By what: a test, a record").fill("laboratory, number 12");
    await page.waitForTimeout(400);
    await page.reload();
    await page.getByLabel("By what: a test, a record").waitFor();
    equal(await page.getByLabel("By what: a test, a record").inputValue(), "laboratory, number 12");
    equal(await page.getByLabel("What is known").inputValue(), "absent");
  });
  await inspect("Base, a form with words");

  await story.step("a named test clears the hazard", async () => {
    await part("Hazards").getByRole("button", { name: "Save" }).tap();
    await part("Hazards").locator("strong", { hasText: "Asbestos: not there" }).waitFor();
    const { entries } = await core("base.view", { job, room });
    equal(entries.filter((one) => one.of === "hazard").map((one) => one.fields.basis), ["laboratory, number 12"], "hazards");
  });

  await story.step("a length of a form is typed on the keypad and refused at its field", async () => {
    await button("Add: What lies there").tap();
    await page.getByLabel("What", { exact: true }).selectOption("tile");
    await part("What lies there").getByLabel("Thickness", { exact: true }).tap();
    await keys(page, "0");
    await button("Close").tap();
    await part("What lies there").getByRole("button", { name: "Save" }).tap();
    await part("What lies there").locator(".more.wrong").waitFor();
  });
  await inspect("Base, a refused length");

  await story.step("mended, it is accepted and judged", async () => {
    await part("What lies there").getByLabel("Thickness", { exact: true }).fill("3/8");
    await button("Close").tap();
    await part("What lies there").getByRole("button", { name: "Save" }).tap();
    await part("What lies there").getByText("not said whether it is sound").waitFor();
    await button("Remove: Tile or stone").tap();
    await page.waitForFunction(() => !document.body.textContent.includes("Remove: Tile"));
    await part("What lies there").getByText("not said whether it is sound").waitFor({ state: "detached" });
  });

  await story.step("heights: what stands at a height, the transition and what limits the stack", async () => {
    await button("Heights: next door, doors, fixtures at a height").tap();
    await part("Found").getByText("Dishwasher limits the stack").waitFor();
    await part("Found").getByText("The finished floor lies").waitFor();
  });
  await inspect("Heights");

  await story.step("a form of heights is filled with the keyboard alone", async () => {
    await page.locator("h1").click();
    await tabTo(page, "Add: Built up over the base");
    await page.keyboard.press("Enter");
    await tabTo(page, "Name");
    await page.keyboard.type("Board");
    await tabTo(page, "Thickness");
    await page.keyboard.type("1/4");
    await tabTo(page, "Save");
    await page.keyboard.press("Enter");
    await button("Change: Board").waitFor();
    const { entries, findings } = await core("heights.view", { job, room });
    equal(entries.filter((one) => one.of === "build_up").map((one) => one.fields), [{ name: "Board", thickness: '1/4"' }], "what is built up");
    holds(findings.some((one) => one.message.includes('1/4" Board')), "the stack does not count the board");
  });
  await story.step("an underlayment is chosen for the area, and taking the last step back brings the old one", async () => {
    await button("Change: The underlayment").tap();
    await page.getByLabel("Underlayment", { exact: true }).selectOption("");
    await part("The underlayment").getByRole("button", { name: "Save" }).tap();
    await part("Found").getByText("The finished floor lies 5/8").waitFor();
    await core("edit.undo", { job });
    await part("Found").getByText("The finished floor lies 3/4").waitFor();
  });

  await story.step("the drawing names what lies where, by its sign and number", async () => {
    await page.goto(`${bridge}/#/job/${job}/room/${room}/base`);
    const drawing = page.getByRole("application");
    await drawing.waitFor();
    holds((await drawing.getAttribute("aria-label"))?.includes("Base"), "the drawing has no name");
    await drawing.focus();
    await page.keyboard.press("ArrowRight");
    await page.locator("li.picked").first().waitFor();
  });
  await page.context().close();
}
