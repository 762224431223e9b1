// Back in Chromium: what lies over a screen is closed before the screen is left, and a screen that the app opens on has
// those above it below it in the history.
import { writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { bridge, core, open } from "./browser.mjs";
import { equal } from "./harness.mjs";
import { workJob } from "./work.mjs";

/** Tells the stories on windows of their own. */
export async function backStories({ story, browser, watch }) {
  let page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const heading = (name) => page.getByRole("heading", { level: 1, name });
  const { job, area } = await workJob();
  const { card: { name }, rooms: [{ id: room }] } = await core("job.view", { job });
  const hash = () => new URL(page.url()).hash;
  const pad = () => page.locator(".pad");
  const dialog = () => page.getByRole("dialog");
  const over = () => page.evaluate(() => history.state.over);

  // As the phone's Back does it: one step in the window's history, by a script that nobody's finger stands behind.
  const back = () => page.evaluate(() => history.back());
  /** What a Back that did too much would do has happened by then. */
  const still = () => page.waitForTimeout(250);

  await story.step("Back closes the keypad, and only then leaves the screen", async () => {
    await page.goto(`${bridge}/#/jobs`);
    await page.getByRole("button", { name: new RegExp(`^${name}`) }).first().tap();
    await button("Add a product").tap();
    await page.getByLabel("Face length", { exact: true }).tap();
    await pad().waitFor();
    await back();
    await pad().waitFor({ state: "detached" });
    await still();
    equal(hash(), `#/job/${job}`, "the screen stays");
    await back();
    await heading("Jobs").waitFor();
  });

  await story.step("a keypad that was closed by its own key takes no Back of its own, however often it was open", async () => {
    await page.goto(`${bridge}/#/jobs`);
    await page.getByRole("button", { name: new RegExp(`^${name}`) }).first().tap();
    await button("Add a product").tap();
    const long = await page.evaluate(() => history.length);
    for (const label of ["Face length", "Face width", "Thickness"]) {
      await page.getByLabel(label, { exact: true }).tap();
      await pad().waitFor();
      await button("Close").tap();
      await pad().waitFor({ state: "detached" });
    }
    equal(await page.evaluate(() => history.length), long + 1, "one entry for all of them");
    await back();
    await heading("Jobs").waitFor();
  });

  await story.step("Back closes an open photo and stays where it hangs", async () => {
    await page.goto(`${bridge}/#/job/${job}`);
    await page.getByRole("button", { name: /Oar store/ }).first().tap();
    await heading("Oar store").waitFor();
    const picture = join(tmpdir(), `drylay-back-${process.pid}.png`);
    await writeFile(picture, await page.screenshot());
    const [chooser] = await Promise.all([page.waitForEvent("filechooser"), button("Add photos").first().tap()]);
    await chooser.setFiles(picture);
    await button("Photo 1").tap();
    await dialog().waitFor();
    await back();
    await dialog().waitFor({ state: "detached" });
    await still();
    equal(hash(), `#/job/${job}/room/${room}`, "the screen stays");
    await button("Photo 1").tap();
    await dialog().getByRole("button", { name: "Close", exact: true }).tap();
    await dialog().waitFor({ state: "detached" });
    await back();
    await page.waitForFunction((wanted) => location.hash === wanted, `#/job/${job}`);
  });

  await story.step("the touch lock swallows Back, every time, and gives it free once it is open", async () => {
    await page.goto(`${bridge}/#/job/${job}`);
    await page.getByRole("navigation").getByRole("button", { name: /Work/ }).tap();
    await button("Lock the screen against splashes").tap();
    for (let n = 0; n < 3; n++) {
      await back();
      await still();
      equal([await dialog().isVisible(), hash(), await over()], [true, `#/job/${job}/work`, 1], `Back no. ${n + 1}`);
    }
    // A keyboard that is not there cannot close it either; two in a row would close a dialog that does not insist.
    for (let n = 0; n < 2; n++) await page.keyboard.press("Escape");
    await still();
    equal(await dialog().isVisible(), true, "Escape");
    await button("Hold to unlock").focus();
    await page.keyboard.press("Enter");
    await dialog().waitFor({ state: "detached" });
    await back();
    await page.waitForFunction((wanted) => location.hash === wanted, `#/job/${job}`);
  });

  await story.step("the app opens where it was left with the screens above it below: Back leads up, one by one", async () => {
    const piece = `#/job/${job}/plan/${area}/piece/4-3`;
    await page.goto(`${bridge}/${piece}`);
    await heading(/^Piece /).waitFor();
    await page.context().close();
    page = await open(browser, "phone");
    watch(page);
    await page.goto(bridge);
    await heading(/^Piece /).waitFor();
    equal(hash(), piece);
    for (const above of [`#/job/${job}/plan/${area}`, `#/job/${job}`, "#/"]) {
      await back();
      await page.waitForFunction((wanted) => location.hash === wanted, above);
    }
    await heading("Jobs").waitFor();
    equal(await page.evaluate(() => history.state.at), 0, "nothing of the app lies below the jobs");
  });
  await page.context().close();
}
