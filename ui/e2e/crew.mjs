// The crew in Chromium on the real core: a second device (the program `drylay`) is let in, comes level, is removed.
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
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
    await page.getByText("This is neither an invitation nor a code of eight digits.").waitFor();
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
    await page.getByText(/Open for another \d+ seconds/).waitFor();
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

  // A job by a file.
  const name = "Ferry office";
  const path = (of) => join(store, `${of}.handover`);
  const { id: job } = await core("jobs.create", { name, client: "", site: "", units: "imperial" });
  async function take(file) {
    const [chooser] = await Promise.all([page.waitForEvent("filechooser"), button("Take a file in").tap()]);
    await chooser.setFiles(file);
  }
  async function write(to) {
    const [kept] = await Promise.all([page.waitForEvent("download"), button("Write the file").tap()]);
    equal(kept.suggestedFilename(), `${name}.handover`);
    await kept.saveAs(to);
    await page.getByText(`${name}.handover: written and signed`).waitFor();
  }

  await story.step("a job is written into a file, signed by this device, and taken in again", async () => {
    await page.goto(`${bridge}/#/jobs`);
    await button("Crew").tap();
    holds(await button("Write the file").isDisabled(), "no job is chosen yet");
    await page.getByLabel("Job", { exact: true }).selectOption(name);
    await write(path("plain"));
    await take(path("plain"));
    await page.getByText("Signed by this device.").waitFor();
    await button(`Show ${name}`).waitFor();
    equal((await core("jobs.list")).jobs.filter((one) => one.name === name).map((one) => one.id), [job]);
  });
  await inspect("Crew, a file taken in");

  await story.step("a locked file asks for its words, and takes no others", async () => {
    await page.getByLabel("Job", { exact: true }).selectOption(name);
    await page.getByLabel("Passphrase, if it is to be locked").fill("short");
    await button("Write the file").tap();
    await page.getByText("The passphrase has fewer than 8 characters.").waitFor();
    await page.getByLabel("Passphrase, if it is to be locked").fill("seven wet tiles");
    await write(path("locked"));
    equal(await page.getByLabel("Passphrase, if it is to be locked").inputValue(), "", "it is not left standing");
    equal((await readFile(path("locked"))).includes(name), false, "nothing of it can be read");
    await take(path("locked"));
    await page.getByLabel("The file is locked. Passphrase").fill("eight wet tiles");
    await button("Open it").tap();
    await page.getByText("The passphrase is not the one.").waitFor();
  });
  await inspect("Crew, a locked file");

  await story.step("with its words it opens", async () => {
    await page.getByLabel("The file is locked. Passphrase").fill("seven wet tiles");
    await button("Open it").tap();
    await page.getByText("Signed by this device.").waitFor();
  });

  await story.step("damaged and foreign files are told apart, and change nothing", async () => {
    const bytes = await readFile(path("plain"));
    bytes[bytes.length >> 1] ^= 1;
    await writeFile(path("damaged"), bytes);
    await take(path("damaged"));
    await page.getByText("The file is damaged: its checksum does not match.").waitFor();
    await writeFile(path("short"), bytes.subarray(0, 40));
    await take(path("short"));
    await page.getByText("The file ends too early.").waitFor();
    await writeFile(path("foreign"), "a shopping list");
    await take(path("foreign"));
    await page.getByText("This is not a hand-over file.").waitFor();
  });

  await story.step("a file of a device outside the crew is taken in and said to be one", async () => {
    const theirs = spawn(program, ["keep", "--lines", "--silent", "--port", "0", "--store", join(store, "theirs")], { stdio: ["pipe", "pipe", "inherit"] });
    const lines = createInterface({ input: theirs.stdout })[Symbol.asyncIterator]();
    const ask = async (call, args) => {
      theirs.stdin.write(`${JSON.stringify({ call, args })}\n`);
      for (;;) {
        const { answer, problem } = JSON.parse((await lines.next()).value);
        if (problem) throw new Error(problem.message);
        if (answer) return answer;
      }
    };
    const { id } = await ask("jobs.create", { name: "Their barn", client: "", site: "", units: "metric" });
    await ask("handover.write", { job: id, path: path("theirs") });
    theirs.stdin.end();
    await take(path("theirs"));
    await page.getByText(/Signed by a device that is not of this crew \(key [0-9a-f]{8}…\)/).waitFor();
    await button("Show Their barn").tap();
    await page.getByRole("heading", { name: "Their barn" }).waitFor();
  });
  await rm(store, { recursive: true, force: true });
  await page.context().close();
}
