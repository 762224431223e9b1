// What the screens do on a phone, in Chromium: the window's own build, with a stand-in for the shell that passes calls on to
// the bridge's core and answers for the phone. What the phone itself does is Kotlin and not looked at here.
import { readFile, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { bridge, core, sizes } from "./browser.mjs";
import { equal } from "./harness.mjs";
import { workJob } from "./work.mjs";

const kinds = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".woff2": "font/woff2" };

/** Stands where Tauri puts its way to the shell. What the phone answers is in `window.phone`, what it was asked in `window.asked`. */
function shell(phone) {
  const ears = {};
  const calls = {
    async call({ name, args }) {
      const answer = await fetch(`/call/${name}`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(args) });
      const body = await answer.json();
      if (!answer.ok) throw body;
      return body;
    },
    arrived: () => window.phone.arrived.splice(0),
    phone({ name, args }) {
      window.asked.push([name, args.on ?? null]);
      if (name === "nearby") return { allowed: window.phone.near };
      if (name === "askNearby") return { allowed: (window.phone.near = window.phone.gives) };
      if (name === "photoLeft") return { path: window.phone.left };
      return name === "bars" ? { top: 24, right: 0, bottom: 16, left: 0 } : null;
    },
    "plugin:event|listen": ({ event, handler }) => (ears[event] ??= []).push(handler),
  };
  let last = 0;
  const handlers = {};
  window.phone = phone;
  window.asked = [];
  window.tell = (event, payload) => (ears[event] ?? []).forEach((one) => handlers[one]({ event, payload }));
  window.__TAURI_INTERNALS__ = {
    invoke: async (name, args) => calls[name](args),
    transformCallback: (heard) => ((handlers[++last] = heard), last),
    convertFileSrc: () => "/photo/",
  };
  new EventSource("/events").onmessage = (message) => window.tell("drylay", JSON.parse(message.data));
}

/** Tells the stories on windows of their own; `dist` is the folder of the window's build. */
export async function phoneStories({ story, browser, watch, dist = fileURLToPath(new URL("../dist", import.meta.url)) }) {
  const { job } = await workJob();
  const { card: { name }, rooms: [{ id: room }] } = await core("job.view", { job });

  /** Opens the app on a phone that answers so. */
  async function start(hash, phone = {}, scheme = "light") {
    const context = await browser.newContext({
      viewport: sizes.phone, isMobile: true, hasTouch: true, colorScheme: scheme, reducedMotion: "reduce",
      userAgent: "Mozilla/5.0 (Linux; Android 17; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Mobile Safari/537.36",
    });
    context.setDefaultTimeout(8000);
    await context.addInitScript(shell, { arrived: [], near: true, gives: true, left: null, ...phone });
    const page = await context.newPage();
    watch(page);
    await page.route((url) => url.href.startsWith(bridge) && (url.pathname === "/" || url.pathname.startsWith("/assets/")), async (route) => {
      const path = new URL(route.request().url()).pathname.replace(/\/$/, "/index.html");
      await route.fulfill({ body: await readFile(join(dist, path)), contentType: kinds[extname(path)] ?? "application/octet-stream" });
    });
    await page.goto(`${bridge}/${hash}`);
    return page;
  }
  const asked = (page, wanted) => page.evaluate((name) => window.asked.filter((one) => one[0] === name).map((one) => one[1]), wanted);
  const photos = async () => (await core("photos.list", { job })).photos.filter((one) => one.pin?.room === room).length;
  async function picture(of, colour) {
    const page = await (await browser.newContext({ viewport: { width: 60, height: 40 } })).newPage();
    await page.setContent(`<body style="background:${colour}">`);
    await writeFile(of, await page.screenshot());
    await page.context().close();
    return of;
  }
  const file = (n) => join(tmpdir(), `drylay-phone-${process.pid}-${n}.png`);

  await story.step("the icons upon the bars are dark on light paper, whatever the system has", async () => {
    const page = await start("#/device", {}, "dark");
    await page.getByRole("radio", { name: "daylight", exact: true }).waitFor();
    equal((await asked(page, "darkIcons")).at(-1), false, "the system's dark theme");
    await page.getByRole("radio", { name: "daylight", exact: true }).tap();
    equal((await asked(page, "darkIcons")).at(-1), true, "daylight");
    await page.emulateMedia({ colorScheme: "light" });
    await page.getByRole("radio", { name: "dark", exact: true }).tap();
    equal((await asked(page, "darkIcons")).at(-1), false, "dark");
    await page.context().close();
  });

  await story.step("devices near are looked for in a crew and while somebody is invited, and no longer", async () => {
    const page = await start("#/crew");
    await page.getByText("belongs to no crew").waitFor();
    equal((await asked(page, "discover")).at(-1), false, "alone");
    await page.getByRole("button", { name: "Invite a device", exact: true }).tap();
    await page.getByRole("button", { name: "Close the invitation", exact: true }).waitFor();
    equal((await asked(page, "discover")).at(-1), true, "inviting");
    await page.getByRole("button", { name: "Close the invitation", exact: true }).tap();
    await page.getByRole("button", { name: "Leave the crew", exact: true }).waitFor();
    equal((await asked(page, "discover")).at(-1), true, "in a crew of one");
    await page.context().close();
  });

  await story.step("who belongs to a crew and may not meet devices near is told, and can allow it there", async () => {
    const page = await start("#/crew", { near: false });
    const notice = page.getByText("Without leave to meet devices near");
    await notice.waitFor();
    equal(await asked(page, "askNearby"), [], "nobody is asked for looking at it");
    await page.getByRole("button", { name: "Let it meet devices near", exact: true }).tap();
    await notice.waitFor({ state: "detached" });
    await page.getByRole("button", { name: "Leave the crew", exact: true }).tap();
    await page.getByRole("button", { name: "Leave", exact: true }).tap();
    await page.getByText("belongs to no crew").waitFor();
    equal((await asked(page, "discover")).at(-1), false, "left");
    await page.context().close();
  });

  await story.step("a photo that was being taken when the system ended the app comes to its place at the next start", async () => {
    await core("draft.put", { key: "camera", text: JSON.stringify({ job, pin: { what: "room", room } }) });
    const page = await start(`#/job/${job}/room/${room}`, { left: await picture(file(1), "teal") });
    await page.getByText("1 photo is where it belongs.").waitFor();
    await page.getByRole("button", { name: "Photo 1", exact: true }).waitFor();
    equal(await photos(), 1);
    equal((await core("draft.list")).drafts.camera ?? "", "", "nothing waits any more");
    await page.context().close();
  });

  await story.step("pictures that another app sends wait for their room", async () => {
    const page = await start("#/jobs", { arrived: [{ kind: "picture", text: await picture(file(2), "olive") }] });
    await page.getByText("1 picture has come.").waitFor();
    await page.evaluate((text) => (window.phone.arrived.push({ kind: "picture", text }), window.tell("drylay-arrived", null)), await picture(file(3), "navy"));
    await page.getByText("2 pictures have come.").waitFor();
    await page.getByLabel(/^Job/).selectOption(job);
    await page.getByLabel(/^Room/).selectOption(room);
    await page.getByRole("button", { name: "Put there", exact: true }).tap();
    await page.getByText("2 photos are where they belong.").waitFor();
    await page.getByRole("button", { name: "Photo 3", exact: true }).waitFor();
    equal([await photos(), new URL(page.url()).hash], [3, `#/job/${job}/room/${room}`], name);
    await page.context().close();
  });
}
