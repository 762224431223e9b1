// Pictures of every screen in its sizes and themes, into tests/shots, to be looked at. With DRYLAY_GALLERY they go into
// that folder, in all sizes, with a page that shows them beside each other. DRYLAY_LANGUAGE=de takes them in German; what
// is first done on a screen is found by its English words, so those pictures are left out then.
// Uses the practice job of the bridge's core, and whatever else its store holds.
import { mkdir, writeFile } from "node:fs/promises";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { bridge, core, launch, needBridge, open } from "./browser.mjs";
import { workJob } from "./work.mjs";

needBridge();
const gallery = process.env.DRYLAY_GALLERY;
const language = process.env.DRYLAY_LANGUAGE ?? "en";
const into = gallery ? `${resolve(process.env.INIT_CWD ?? ".", gallery)}/` : fileURLToPath(new URL("../../tests/shots/", import.meta.url));
await mkdir(into, { recursive: true });

/** The screens of the practice job: as much of it as its core answers. */
async function places() {
  const job = process.env.DRYLAY_JOB ?? (await core("jobs.demo")).id;
  const view = await core("job.view", { job });
  const room = view.rooms[0]?.id;
  const area = view.areas[0]?.id;
  const plan = area ? await core("plan.view", { job, area }).catch(() => null) : null;
  const piece = plan?.pieces.find((one) => one.cut === "corner") ?? plan?.pieces.find((one) => one.cut !== "whole");
  const works = await begun();
  return {
    ...Object.fromEntries(["work", "work-cuts", "work-grout", "work-steps", "work-noted", "work-stock", "work-time", "work-time-typed", "work-walk", "work-walk-signed", "work-locked"].map((name) => [name, `#/job/${works.job}/work/${works.area}`])),
    "work-card": `#/job/${works.job}/work/${works.area}/piece/8-5`,
    jobs: "#/jobs",
    "new-job": "#/jobs",
    job: `#/job/${job}`,
    "new-room": `#/job/${job}`,
    ...(room ? { room: `#/job/${job}/room/${room}`, walk: `#/job/${job}/room/${room}`, "room-details": `#/job/${job}/room/${room}` } : {}),
    ...(view.rooms.some((one) => one.id === "kitchen") ? Object.fromEntries(["floor", "floor-worst", "floor-edge", "floor-work", "floor-again", "floor-asked"].map((name) => [name, `#/job/${job}/room/kitchen/floor`])) : {}),
    ...(room ? { "floor-unread": `#/job/${job}/room/${room}/floor`, "floor-walk": `#/job/${job}/room/${room}/floor` } : {}),
    ...(area ? { plan: `#/job/${job}/plan/${area}`, "plan-piece": `#/job/${job}/plan/${area}`, "plan-chalk": `#/job/${job}/plan/${area}`, "plan-last": `#/job/${job}/plan/${area}`, "plan-lies": `#/job/${job}/plan/${area}`, "plan-prefer": `#/job/${job}/plan/${area}` } : {}),
    ...(piece ? { piece: `#/job/${job}/plan/${area}/piece/${piece.id}` } : {}),
    product: `#/job/${job}`,
    ...(view.rooms.some((one) => one.id === "kitchen") ? { base: `#/job/${job}/room/kitchen/base`, heights: `#/job/${job}/room/kitchen/heights` } : {}),
    buy: `#/job/${job}/buy`,
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

/** What has to be done on a screen before its picture. */
const part = (name) => (page) => page.getByRole("radio", { name, exact: true }).check({ force: true });
const acts = {
  "work-cuts": part("Cut"),
  "work-grout": part("Grout"),
  "work-steps": part("Steps"),
  "work-noted": part("Noted"),
  "work-stock": part("Stock"),
  "work-time": part("Time"),
  "work-time-typed": async (page) => {
    await part("Time")(page);
    await page.getByRole("button", { name: "Type hours", exact: true }).click();
    await page.getByRole("heading", { name: "Against the quote" }).scrollIntoViewIfNeeded();
  },
  "work-walk": part("Hand over"),
  "work-walk-signed": async (page) => {
    await part("Hand over")(page);
    await page.getByRole("heading", { name: "Signed before" }).scrollIntoViewIfNeeded();
  },
  "work-locked": (page) => page.getByRole("button", { name: "Lock the screen against splashes" }).click(),
  "new-job": (page) => page.getByRole("button", { name: "New job", exact: true }).click(),
  "new-room": (page) => page.getByRole("button", { name: "Add a room" }).click(),
  walk: async (page) => {
    await page.locator(".measure").first().click();
    for (const key of ["1", "2"]) await page.locator(".pad").getByRole("button", { name: key, exact: true }).click();
  },
  "room-details": (page) => page.getByRole("button", { name: /^More on Wall/ }).first().click(),
  "floor-worst": (page) => page.getByRole("button", { name: /^Show where/ }).first().click({ timeout: 90_000 }),
  "floor-edge": async (page) => {
    await page.getByRole("button", { name: "Lay a straightedge" }).click({ timeout: 90_000 });
    await page.locator(".lies .figure").scrollIntoViewIfNeeded();
  },
  "floor-work": async (page) => {
    const work = page.getByRole("button", { name: /^Work (it )?out/ }).first();
    await work.waitFor({ timeout: 90_000 });
    if (await page.getByRole("heading", { name: "In this order" }).count()) {
      await page.getByText("Correction", { exact: true }).first().click({ timeout: 90_000 });
    } else await work.click({ timeout: 90_000 });
    await page.getByRole("heading", { name: "In this order" }).waitFor({ timeout: 180_000 });
    await page.locator(".sum").scrollIntoViewIfNeeded();
  },
  "floor-again": (page) => page.getByRole("button", { name: /^Point ?5/ }).click(),
  "floor-asked": (page) => page.getByRole("button", { name: "What is asked" }).click(),
  "floor-walk": async (page) => {
    await page.getByRole("button", { name: "Read the floor", exact: true }).click();
    for (const key of ["4", "5", "1/8"]) await page.locator(".pad").getByRole("button", { name: key, exact: true }).click();
  },
  "plan-chalk": (page) => page.getByRole("button", { name: "Chalk line", exact: true }).click(),
  "plan-last": async (page) => {
    await page.getByRole("button", { name: "Last tile", exact: true }).click();
    await page.getByLabel("Gap on the side of row 1, last face to wall", { exact: true }).fill("16 1/4\"");
    const pad = page.locator(".pad").getByRole("button", { name: "Close", exact: true });
    if (await pad.count()) await pad.click();
    await page.getByRole("button", { name: "What to cut", exact: true }).click();
  },
  "plan-lies": (page) => page.getByRole("button", { name: "As laid", exact: true }).click(),
  "plan-prefer": async (page) => {
    await page.getByRole("button", { name: "What it should keep to", exact: true }).click();
    const centre = page.getByLabel(/^Centered on/);
    await centre.waitFor();
    await centre.selectOption({ index: 1 });
    await page.getByLabel("No short cut in doorways", { exact: true }).check();
    await centre.scrollIntoViewIfNeeded();
  },
  "buy-counted": async (page) => {
    const count = page.getByRole("button", { name: "Work it out and count it", exact: true });
    if (await count.count()) await count.click();
    await page.getByRole("heading", { name: "Not counted yet" }).waitFor({ state: "detached", timeout: 120_000 });
  },
  "papers-made": async (page) => {
    await page.locator(".foot .lead").click();
    await page.getByRole("link", { name: "Open handover.pdf" }).waitFor({ timeout: 240_000 });
    await page.locator("progress").waitFor({ state: "detached", timeout: 240_000 });
  },
  "quote-sign": async (page) => {
    const field = page.getByRole("img", { name: "Signature", exact: true });
    await field.scrollIntoViewIfNeeded();
    const box = await field.boundingBox();
    await page.mouse.move(box.x + box.width * 0.1, box.y + box.height * 0.7);
    await page.mouse.down();
    for (const [x, y] of [[0.2, 0.2], [0.3, 0.75], [0.45, 0.3], [0.6, 0.8], [0.9, 0.4]]) await page.mouse.move(box.x + box.width * x, box.y + box.height * y, { steps: 6 });
    await page.mouse.up();
  },
  product: async (page) => {
    await page.locator(".products button, section button").filter({ hasText: "×" }).first().click();
    await page.getByRole("button", { name: "Rules and locking edges", exact: true }).click();
    await page.getByText("How the edges lock").scrollIntoViewIfNeeded();
  },
  "plan-piece": async (page) => {
    const box = await page.getByRole("application").boundingBox();
    await page.mouse.click(box.x + box.width * 0.5, box.y + box.height * 0.5);
  },
};

const browser = await launch();
const wanted = process.argv[2]?.split(",");
const sizes = process.argv[3] ? [process.argv[3]] : gallery ? ["phone", "tablet", "laptop"] : ["phone", "laptop"];
const themes = process.argv[4] ? [process.argv[4]] : ["light", "dark", "daylight"];
const all = await places();
const shown = Object.entries(all).filter(([name]) => (!wanted || wanted.includes(name)) && (language === "en" || !acts[name]));
// The screens follow the device: its language is put back at the end.
await core("device.speak", { language });
let count = 0;
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
        console.error(`${name}: ${error.message.split("\n")[0]}`);
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
