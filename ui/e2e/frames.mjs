// Measures what a frame costs while a floor of 1,500 pieces is panned by touch at a sixth of the processor's speed:
// the renderer's main-thread work between two animation frames, from Chromium's own trace.
// Beside it the same for an empty page with one moving layer, because a busy machine asks much for any frame.
// Work is told apart from the display's tick: the tick is also given, as the time from one frame's commit to the next,
// but it cannot be shorter than the display's 16.7 ms, so the goal of 8 ms is one for the work.
// The browser slows a page down by waiting on the clock, so other programs on the machine count as work; therefore the
// same is measured at full speed and its processor time taken six times, which they hardly touch.
// Prints `name<TAB>seconds` lines, then p50, p95 and the longest of both and their ratio as JSON; fails only if nothing
// was measured.
import { bridge, core, launch, needBridge, open } from "./browser.mjs";

const slow = 6;
const wanted = 1500;

/** A hall large enough for the pieces, planned by the core. */
async function hall() {
  const sheet = {
    drylay: 1,
    job: { name: "Hall for measuring frames", client: "", site: "" },
    units: "metric",
    products: [{ id: "t", name: "Tile", face: { length: 596, width: 297 }, joint: 2.5, edge_gap: 8, kerf: 2.4, interlock: true, offsets: ["1/3"], carton: { tiles: 7 } }],
    rooms: [{ id: "hall", name: "Hall", outline: [[0, 0], [17400, 0], [17400, 16900], [0, 16900]] }],
    areas: [{ id: "main", rooms: ["hall"], product: "t", layout: { along: ["A", "B"], offset: "1/3", order: "stepped", first_row: 297, shift: 596 } }],
  };
  const job = await core("jobs.import", { sheet: JSON.stringify(sheet) });
  const { areas } = await core("job.view", { job: job.id });
  const plan = await core("plan.view", { job: job.id, area: areas[0].id });
  return { url: `${bridge}/#/job/${job.id}/plan/${areas[0].id}`, pieces: plan.pieces.length };
}

async function pan(client, steps) {
  let x = 356, y = 330;
  await client.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x, y }] });
  for (let i = 0; i < steps; i++) {
    x = 206 + Math.cos(i / 17) * 150;
    y = 330 + Math.sin(i / 23) * 170;
    await client.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: [{ x, y }] });
    await new Promise((resolve) => setTimeout(resolve, 14));
  }
  await client.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
}

/** Main-thread processor milliseconds of the page's renderer between one commit of a frame and the next, and the
 * milliseconds that passed from one to the next; both from the least to the most. */
function frameCosts(events) {
  const main = events.find((event) => event.name === "thread_name" && event.args.name === "CrRendererMain");
  const mine = events.filter((event) => event.pid === main?.pid && event.tid === main?.tid && event.ph === "X").sort((a, b) => a.ts - b.ts);
  const tasks = mine.filter((event) => event.name === "RunTask");
  const ends = mine.filter((event) => event.name === "Commit").map((event) => event.ts + event.dur);
  const costs = new Array(ends.length).fill(0);
  let frame = 0;
  for (const task of tasks) {
    while (frame < ends.length && ends[frame] < task.ts) frame++;
    if (frame < ends.length) costs[frame] += (task.tdur ?? task.dur) / 1000;
  }
  const sorted = (all) => all.sort((a, b) => a - b);
  const ticks = ends.slice(1).map((end, n) => (end - ends[n]) / 1000);
  return { costs: sorted(costs.slice(1)), ticks: sorted(ticks) };
}

const part = (sorted, p) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * p))];

/** A page with nothing but one moving layer: what this machine's browser asks for any frame at all. */
const floorPage = `data:text/html,<meta name=viewport content="width=device-width"><body style="margin:0"><div role=application
 style="width:412px;height:700px;overflow:hidden;touch-action:none"><canvas width=1318 height=2000 style="width:659px;height:1000px;will-change:transform"></canvas></div>
<script>let l,X=0,Y=0,c=document.querySelector("canvas"),d=document.querySelector("div");c.getContext("2d").fillRect(9,9,900,900);
d.onpointerdown=e=>l=[e.clientX,e.clientY];d.onpointermove=e=>{if(!l)return;X+=e.clientX-l[0];Y+=e.clientY-l[1];l=[e.clientX,e.clientY];c.style.transform="translate("+X+"px,"+Y+"px)"}</script>`;

async function measure(browser, url, closer, throttle) {
  const page = await open(browser, "phone");
  await page.goto(url);
  await page.waitForSelector("[role=application]");
  await page.waitForTimeout(1500);
  const client = await page.context().newCDPSession(page);
  if (closer) {
    // Close enough that panning crosses the whole picture; then without the focus, as with a finger.
    await page.locator("[role=application]").focus();
    for (let i = 0; i < 3; i++) await page.keyboard.press("+");
    await page.waitForTimeout(800);
    await page.evaluate(() => document.activeElement?.blur());
  }
  await client.send("Emulation.setCPUThrottlingRate", { rate: throttle });
  await browser.startTracing(page, { categories: ["devtools.timeline", "disabled-by-default-devtools.timeline", "toplevel", "__metadata"] });
  await pan(client, 400);
  const { costs, ticks } = frameCosts(JSON.parse((await browser.stopTracing()).toString("utf8")).traceEvents);
  await page.context().close();
  if (costs.length < 50) throw new Error(`Only ${costs.length} frames were seen; nothing can be said.`);
  return { frames: costs.length, p50_ms: +part(costs, 0.5).toFixed(2), p95_ms: +part(costs, 0.95).toFixed(2), longest_ms: +costs.at(-1).toFixed(2), tick_p95_ms: +part(ticks, 0.95).toFixed(2) };
}

const given = process.env.DRYLAY_PAGE;
if (!given) needBridge();
const browser = await launch();
try {
  const { url, pieces } = given ? { url: given, pieces: wanted } : await hall();
  const floor = await measure(browser, floorPage, false, slow);
  const ours = await measure(browser, url, true, slow);
  const floorAtFull = await measure(browser, floorPage, false, 1);
  const oursAtFull = await measure(browser, url, true, 1);
  const ratio = { p50: +(ours.p50_ms / floor.p50_ms).toFixed(2), p95: +(ours.p95_ms / floor.p95_ms).toFixed(2) };
  const line = (name, ms) => console.log(`${name}\t${(ms / 1000).toFixed(5)}`);
  line("frame of 1500 pieces, work p95", ours.p95_ms);
  line("frame of an empty page, work p95", floor.p95_ms);
  line("frame of 1500 pieces, six times processor p95", slow * oursAtFull.p95_ms);
  line("frame of an empty page, six times processor p95", slow * floorAtFull.p95_ms);
  line("frame of 1500 pieces, tick p95", ours.tick_p95_ms);
  line("frame of an empty page, tick p95", floor.tick_p95_ms);
  console.log(JSON.stringify({ pieces, slow, ours, floor, ratio, oursAtFull, floorAtFull }));
} finally {
  await browser.close();
}
