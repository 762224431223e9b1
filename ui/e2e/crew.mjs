// The crew in Chromium on the real core: a second device (the program `drylay`) is let in, comes level, is removed.
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, overflowing, smallTargets } from "./harness.mjs";

/** Tells the stories on a window of their own. The bridge must have been started with `--crew`. */
export async function crewStories({ story, browser, watch }) {
  const program = process.env.DRYLAY_PROGRAM;
  if (!program) throw new Error("Set DRYLAY_PROGRAM to the program drylay.");
  const page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const store = await mkdtemp(join(tmpdir(), "drylay-shop-"));
  let ended = null;

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

  await story.step("a device alone says so and offers both ways in", async () => {
    await page.goto(`${bridge}/#/jobs`);
    await button("Crew").tap();
    await page.getByText("belongs to no crew").waitFor();
    await page.getByLabel("Invitation").fill("no invitation");
    await button("Join").tap();
    await page.getByText("This is no invitation and no code of eight digits.").waitFor();
    await page.getByLabel("Invitation").fill("");
  });
  await inspect("Crew, none");

  await story.step("an invitation is shown as a picture and as digits, with how long it stands", async () => {
    await button("Invite a device").tap();
    await page.getByRole("img", { name: "The invitation as a picture for the other device" }).waitFor();
    const { invitation } = await core("crew.view");
    await page.getByText(invitation.code).waitFor();
    holds(/^\d{4} \d{4}$/.test(invitation.code), invitation.code);
    holds(invitation.seconds > 60 && invitation.seconds <= 120, `${invitation.seconds} seconds`);
    await page.getByText(/Stands for another \d+ seconds/).waitFor();
  });
  await inspect("Crew, an invitation");

  await story.step("the device that reads it is named with its key, and let in by a person", async () => {
    const { invitation } = await core("crew.view");
    const words = ["join", "--store", store, "--name", "Shop machine", "--silent", invitation.text];
    const device = spawn(program, words, { stdio: ["ignore", "inherit", "pipe"] });
    let said = "";
    device.stderr.on("data", (text) => (said += text));
    ended = new Promise((done) => device.on("exit", (code) => done({ code, said })));
    await page.getByRole("heading", { name: "Shop machine asks to join" }).waitFor({ timeout: 20_000 });
    const key = /key ([0-9a-f]{8})…/.exec(said)?.[1];
    holds(key, `its own screen names its key: ${said}`);
    await page.getByText(`it must say key ${key}…`).waitFor();
  });
  await inspect("Crew, somebody asks");

  await story.step("once let in it comes level and says so, on both sides", async () => {
    await button("Let it in").tap();
    await page.getByText("Shop machine", { exact: true }).waitFor();
    const { code, said } = await ended;
    equal(code, 0, said);
    await page.getByText(/Level with you/).waitFor();
    const { devices } = await core("crew.view");
    equal(devices.map((device) => device.name), ["Shop machine"]);
  });
  await inspect("Crew, with a device");

  await story.step("removing says what it means, and does it", async () => {
    await button("Remove Shop machine").tap();
    await page.getByText(/gets nothing more from any device that has heard of it/).waitFor();
    await button("Remove it").tap();
    await page.getByText("Shop machine", { exact: true }).waitFor({ state: "detached" });
    equal((await core("crew.view")).devices, []);
  });

  await story.step("leaving the crew leaves the jobs", async () => {
    const before = (await core("jobs.list")).jobs.length;
    await button("Leave the crew").tap();
    await button("Leave").tap();
    await page.getByText("belongs to no crew").waitFor();
    equal((await core("jobs.list")).jobs.length, before);
  });
  await rm(store, { recursive: true, force: true });
  await page.context().close();
}
