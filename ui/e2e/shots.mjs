// Pictures of every screen in its sizes and themes, into tests/shots, to be looked at. With DRYLAY_GALLERY they go into
// that folder, in all sizes, with a page that shows them beside each other. DRYLAY_LANGUAGE=de takes them in German: what
// is first done on a screen is found by the words of that language. A picture whose doing fails is taken all the same and
// counted, and the command ends with 1.
// Uses the practice job of the bridge's core and a copy of it, and whatever else its store holds.
import { mkdir, writeFile } from "node:fs/promises";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { runnerImport } from "vite";
import { bridge, core, launch, needBridge, open } from "./browser.mjs";
import { workJob } from "./work.mjs";

needBridge();
const gallery = process.env.DRYLAY_GALLERY;
const language = process.env.DRYLAY_LANGUAGE ?? "en";
const into = gallery ? `${resolve(process.env.INIT_CWD ?? ".", gallery)}/` : fileURLToPath(new URL("../../tests/shots/", import.meta.url));
await mkdir(into, { recursive: true });
const words = await spoken();

/** The screens' own words in the language of the pictures. */
async function spoken() {
  const table = async (code) => (await runnerImport(fileURLToPath(new URL(`../src/words/${code}.ts`, import.meta.url)), { configFile: false, logLevel: "error" })).module;
  return language === "de" ? (await table("de")).german : (await table("en")).english;
}

/** The screens of the practice job: as much of it as its core answers. */
async function places() {
  const job = process.env.DRYLAY_JOB ?? (await core("jobs.demo")).id;
  const view = await core("job.view", { job });
  const room = view.rooms[0]?.id;
  const area = view.areas[0]?.id;
  const plan = area ? await core("plan.view", { job, area }).catch(() => null) : null;
  const piece = plan?.pieces.find((one) => one.cut === "corner") ?? plan?.pieces.find((one) => one.cut !== "whole");
  const works = await begun();
  const fresh = await untouched(job);
  return {
    ...Object.fromEntries(["work", "work-cuts", "work-grout", "work-steps", "work-noted", "work-stock", "work-time", "work-time-typed", "work-walk", "work-walk-signed", "work-locked"].map((name) => [name, `#/job/${works.job}/work/${works.area}`])),
    "work-card": `#/job/${works.job}/work/${works.area}/piece/8-5`,
    jobs: "#/jobs",
    "new-job": "#/jobs",
    job: `#/job/${job}`,
    "new-room": `#/job/${job}`,
    ...(room ? { room: `#/job/${job}/room/${room}`, walk: `#/job/${job}/room/${room}`, "room-details": `#/job/${job}/room/${room}` } : {}),
    ...(view.rooms.some((one) => one.id === "kitchen") ? { floor: `#/job/${fresh}/room/kitchen/floor` } : {}),
    ...(view.rooms.some((one) => one.id === "kitchen") ? Object.fromEntries(["floor-worst", "floor-edge", "floor-work", "floor-again", "floor-asked"].map((name) => [name, `#/job/${job}/room/kitchen/floor`])) : {}),
    ...(room ? { "floor-unread": `#/job/${job}/room/${room}/floor`, "floor-walk": `#/job/${job}/room/${room}/floor` } : {}),
    ...(area ? { plan: `#/job/${job}/plan/${area}`, "plan-piece": `#/job/${job}/plan/${area}`, "plan-chalk": `#/job/${job}/plan/${area}`, "plan-last": `#/job/${job}/plan/${area}`, "plan-lies": `#/job/${job}/plan/${area}`, "plan-prefer": `#/job/${job}/plan/${area}` } : {}),
    ...(piece ? { piece: `#/job/${job}/plan/${area}/piece/${piece.id}` } : {}),
    product: `#/job/${job}`,
    ...(view.rooms.some((one) => one.id === "kitchen") ? { base: `#/job/${job}/room/kitchen/base`, heights: `#/job/${job}/room/kitchen/heights` } : {}),
    buy: `#/job/${fresh}/buy`,
    "buy-counted": `#/job/${job}/buy`,
    quote: `#/job/${job}/quote`,
    papers: `#/job/${job}/papers`,
    "papers-made": `#/job/${job}/papers`,
    "quote-sign": `#/job/${job}/quote`,
    crew: "#/crew",
    device: "#/device",
    error: "#/job/nowhere",
  };
}

/** A copy of a job in which nobody counts or works anything out: it stays so from one size and theme to the next. */
async function untouched(job) {
  const sheet = JSON.parse((await core("jobs.export", { job })).sheet);
  sheet.job.name = `${sheet.job.name}, as found`;
  return (await core("jobs.import", { sheet: JSON.stringify(sheet) })).id;
}

/** A floor that is half laid, with something noted and too little in the cartons. */
async function begun() {
  const of = await workJob();
  const { plan } = (await core("work.view", of)).area;
  await core("work.mark", { ...of, plan, pieces: ["4-3"], reach: "up_to", state: "laid" });
  await core("work.mark", { ...of, plan, pieces: ["8-1", "8-2"], reach: "piece", state: "cut" });
  await core("work.mark", { ...of, plan, pieces: ["4-4"], reach: "piece", state: "spoilt" });
  await core("work.note", { ...of, what: "lippage", piece: "2-2", measure: "1.2", words: "at the post beside the gate, seen against the light", settled: false });
  const { sections } = await core("grout.view", of);
  for (const [n, minutes_ago] of [[0, "1500"], [1, "200"], [2, ""]]) await core("grout.done", { ...of, plan, sections: [sections[n].id], minutes_ago, warmth: "" });
  await core("work.deliver", { ...of, packs: "5", lot: "B7-2291" });
  await core("work.lot", { ...of, lot: "B7-2291", first_row: 1, last_row: 4 });
  await timed(of.job);
  await walked(of.job);
  return of;
}

/** Hours at several tasks, one over the quote, a clock that runs, and rates to hold them against. */
async function timed(job) {
  if (!(await core("books.view", {})).rate_count) await core("books.read", { what: "rates", text: "task,unit,per_hour,hourly\nlay,m2,2.4,62.50\ngrout,m2,6,55\ntrim,m,12,48\n" });
  const time = { job, people: "", who: "", day: "", done: "" };
  await core("time.add", { ...time, task: "demolish", hours: "3:15", people: "3", who: "Neighbours of the ferry house", day: "2026-09-24" });
  await core("time.add", { ...time, task: "lay", hours: "2.5" });
  await core("time.add", { ...time, task: "cut", hours: "75 min" });
  await core("time.start", { job, task: "grout" });
}

/** A walk-through with a point that is late and one that is mended, signed once. */
async function walked(job) {
  const { rooms } = await core("walk.view", { job });
  const point = { job, room: rooms[0].room, settled: false, made_from: "" };
  await core("walk.set", { ...point, words: "Strip at the gate stands proud of the threshold by a hair, seen against the evening light", mender: "Ana", until: "2026-03-14" });
  await core("walk.set", { ...point, words: "Grout smeared on the plinth", mender: "Ben", until: "", settled: true });
  await core("walk.sign", { job, signed_by: "C. Ferry" });
  await core("walk.set", { ...point, room: "", words: "Sweep the yard", mender: "", until: "" });
}

/** What begins with these words. */
const begins = (text) => new RegExp(`^${text.replaceAll(/[.*+?^${}()|[\]\\]/g, "\\$&")}`);
const press = (page, name) => page.getByRole("button", { name, exact: typeof name === "string" });
const title = (page, name) => page.getByRole("heading", { name, exact: true });
const part = (name) => (page) => page.getByRole("radio", { name, exact: true }).check({ force: true });
const type = async (page, keys) => {
  for (const key of keys) await page.locator(".pad").getByRole("button", { name: key, exact: true }).click();
};

/** What has to be done on a screen before its picture. */
const acts = {
  "work-cuts": part(words.work.parts.cut),
  "work-grout": part(words.work.parts.grout),
  "work-steps": part(words.work.parts.steps),
  "work-noted": part(words.work.parts.noted),
  "work-stock": part(words.work.parts.stock),
  "work-time": part(words.work.parts.time),
  "work-time-typed": async (page) => {
    await part(words.work.parts.time)(page);
    await press(page, words.time.type).click();
    await title(page, words.time.against).scrollIntoViewIfNeeded();
  },
  "work-walk": part(words.work.parts.walk),
  "work-walk-signed": async (page) => {
    await part(words.work.parts.walk)(page);
    await title(page, words.walk.records).scrollIntoViewIfNeeded();
  },
  "work-locked": (page) => press(page, words.work.lock).click(),
  "new-job": (page) => press(page, words.jobs.fresh).click(),
  "new-room": (page) => press(page, words.job.addRoom).click(),
  walk: async (page) => {
    await page.locator(".measure").first().click();
    await type(page, ["1", "2"]);
  },
  "room-details": (page) => press(page, begins(words.room.detailsOf(words.room.wall))).first().click(),
  "floor-worst": (page) => press(page, begins(words.floor.show)).first().click({ timeout: 90_000 }),
  "floor-edge": async (page) => {
    await press(page, words.floor.takeEdge).click({ timeout: 90_000 });
    await page.locator(".lies .figure").scrollIntoViewIfNeeded();
  },
  "floor-work": async (page) => {
    const map = page.getByRole("radio", { name: words.floor.maps.work, exact: true });
    const workOut = press(page, words.floor.workOut).first();
    await map.or(workOut).first().waitFor({ timeout: 90_000 });
    if (await map.count()) await map.check({ force: true });
    else await workOut.click();
    await title(page, words.floor.steps).waitFor({ timeout: 180_000 });
    await page.locator(".sum").scrollIntoViewIfNeeded();
  },
  "floor-again": (page) => press(page, begins(words.floor.againAt("5"))).click(),
  "floor-asked": (page) => press(page, words.floor.settings).click(),
  "floor-walk": async (page) => {
    await press(page, words.floor.begin).click();
    await type(page, ["4", "5", "1/8"]);
  },
  "plan-chalk": (page) => press(page, words.laying.cards.chalk).click(),
  "plan-last": async (page) => {
    await press(page, words.laying.cards.last).click();
    await page.getByLabel(words.last.gap, { exact: true }).fill("16 1/4\"");
    const shut = page.locator(".pad").getByRole("button", { name: words.keypad.close, exact: true });
    if (await shut.count()) await shut.click();
    await press(page, words.last.cut).click();
  },
  "plan-lies": (page) => press(page, words.laying.cards.lies).click(),
  "plan-prefer": async (page) => {
    await press(page, words.prefer.title).click();
    const centre = page.getByLabel(begins(words.prefer.centre));
    await centre.waitFor();
    await centre.selectOption({ index: 1 });
    await page.getByLabel(words.prefer.doorways, { exact: true }).check();
    await centre.scrollIntoViewIfNeeded();
  },
  "buy-counted": async (page) => {
    const count = press(page, words.buy.count);
    await count.or(page.locator(".lead-figure")).first().waitFor();
    if (await count.count()) await count.click();
    await title(page, words.buy.waiting).waitFor({ state: "detached", timeout: 120_000 });
  },
  "papers-made": async (page) => {
    const made = page.getByRole("link", { name: words.papers.openFile("handover.pdf") });
    await page.locator(".foot .lead:enabled").waitFor();
    if (!(await made.count())) {
      await page.locator(".foot .lead").click();
      await page.locator("progress").waitFor();
    }
    await made.waitFor({ timeout: 240_000 });
    await page.locator("progress").waitFor({ state: "detached", timeout: 240_000 });
  },
  "quote-sign": async (page) => {
    const field = page.getByRole("img", { name: words.sign.label, exact: true });
    await field.scrollIntoViewIfNeeded();
    const box = await field.boundingBox();
    await page.mouse.move(box.x + box.width * 0.1, box.y + box.height * 0.7);
    await page.mouse.down();
    for (const [x, y] of [[0.2, 0.2], [0.3, 0.75], [0.45, 0.3], [0.6, 0.8], [0.9, 0.4]]) await page.mouse.move(box.x + box.width * x, box.y + box.height * y, { steps: 6 });
    await page.mouse.up();
  },
  product: async (page) => {
    await page.locator(".products button, section button").filter({ hasText: "×" }).first().click();
    await press(page, words.product.more).click();
    await page.getByText(words.rails.title).scrollIntoViewIfNeeded();
  },
  "plan-piece": async (page) => {
    const box = await page.getByRole("application").boundingBox();
    await page.mouse.click(box.x + box.width * 0.5, box.y + box.height * 0.5);
  },
};

const browser = await launch();
const wanted = process.argv[2] ? process.argv[2].split(",") : null;
const sizes = process.argv[3] ? [process.argv[3]] : gallery ? ["phone", "tablet", "laptop"] : ["phone", "laptop"];
const themes = process.argv[4] ? [process.argv[4]] : ["light", "dark", "daylight"];
const all = await places();
const shown = Object.entries(all).filter(([name]) => !wanted || wanted.includes(name));
// The screens follow the device: its language is put back at the end.
await core("device.speak", { language });
let count = 0;
const failed = [];
for (const size of sizes) {
  for (const theme of themes) {
    const page = await open(browser, size, { theme, language, density: size === "phone" ? 1.5 : 1 });
    for (const [name, hash] of shown) {
      await page.goto("about:blank");
      await page.goto(`${bridge}/${hash}`);
      await page.waitForLoadState("networkidle", { timeout: 1500 }).catch(() => {});
      await page.waitForTimeout(450);
      try {
        await acts[name]?.(page);
        await page.waitForTimeout(350);
      } catch (error) {
        failed.push(`${name}-${size}-${theme}`);
        console.error(`${failed.at(-1)}: ${error.message.split("\n")[0]}`);
      }
      await page.screenshot({ path: `${into}${name}-${size}-${theme}.png` });
      // Nothing begun for a picture may be left waiting for the next one.
      await page.locator("input[data-entry]").first().fill("", { timeout: 300 }).catch(() => {});
      await page.waitForTimeout(180);
      count++;
    }
    await page.context().close();
  }
}
await browser.close();
await core("device.speak", { language: "en" });
if (gallery) await writeFile(`${into}index.html`, page());
console.log(`${count} pictures in ${into}`);
if (failed.length > 0) {
  console.error(`${failed.length} of them do not show what they are named for: ${failed.join(", ")}`);
  process.exitCode = 1;
}

/** All pictures on one page: a row for each screen and theme, its sizes beside each other. */
function page() {
  const row = (name, theme) => `<tr><th>${name}<br>${theme}</th>${sizes.map((size) => `<td><a href="${name}-${size}-${theme}.png"><img loading="lazy" alt="${name}, ${size}, ${theme}" src="${name}-${size}-${theme}.png"></a></td>`).join("")}</tr>`;
  const rows = shown.flatMap(([name]) => themes.map((theme) => row(name, theme))).join("\n");
  return `<!doctype html>
<html lang="${language}"><meta charset="utf-8"><title>Drylay: all screens</title>
<style>body{font:16px/1.4 sans-serif;margin:24px;background:#ddd}th{text-align:left;vertical-align:top;padding:8px;position:sticky;left:0;background:#ddd}td{vertical-align:top;padding:8px}img{height:420px;border:1px solid #888}</style>
<h1>All screens: ${sizes.join(", ")}; ${themes.join(", ")}</h1>
<table>
${rows}
</table></html>
`;
}
