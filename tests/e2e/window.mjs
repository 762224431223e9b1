// node window.mjs APP FILL: how long the real app takes from its start to a list of jobs that can be tapped, with
// 1,000 jobs in the store and with none. FILL is the program that fills a store (`FILL fill FOLDER JOBS`).
// Writes `name<TAB>seconds`: the median of some starts. The driver's own handshake with the window is part of it, so
// the truth is a little better.
import { execFileSync } from "node:child_process";
import { Stage } from "./stage.mjs";

const [app, fill] = process.argv.slice(2);
const starts = 7;
const patience = 30_000;

/** Something of the list, or the empty list's offer, can be tapped and is on the screen. */
const usable = `
  const buttons = [...document.querySelectorAll("button")].filter((it) => it.offsetHeight > 0 && !it.disabled);
  return document.querySelectorAll("button.job").length > 0 === arguments[0] && buttons.length > 1 && document.fonts.status === "loaded"`;

async function once(stage, some) {
  const running = await stage.start();
  while (!(await running.script(usable, some))) {
    if (performance.now() - stage.begun > patience) throw new Error(`No list of jobs within ${patience / 1000} s.`);
  }
  const took = (performance.now() - stage.begun) / 1000;
  await stage.stop();
  return took;
}

async function median(jobs) {
  const stage = await Stage.open({ binary: app });
  try {
    if (jobs > 0) execFileSync(fill, ["fill", stage.store, String(jobs)], { stdio: "inherit" });
    const times = [];
    await once(stage, jobs > 0); // the first start reads the program from the disk
    for (let n = 0; n < starts; n += 1) times.push(await once(stage, jobs > 0));
    return times.sort((a, b) => a - b)[Math.floor(starts / 2)];
  } finally {
    stage.close();
  }
}

console.log(`window with 1000 jobs\t${(await median(1000)).toFixed(3)}`);
console.log(`window with no job\t${(await median(0)).toFixed(3)}`);
