// A phone's battery dies in mid-edit: what was acknowledged is there afterwards, every time.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";
import { Stage } from "./stage.mjs";

const TIMES = Number(process.env.DRYLAY_KILLS ?? 8);
let stage;
before(async () => {
  stage = await Stage.open();
});
after(() => stage?.close());

/** Makes jobs one after another until the app is gone; the names that were acknowledged go to `acknowledged`. */
async function makeJobsUntilGone(app, round, acknowledged, killed) {
  for (let number = 0; ; number += 1) {
    const name = `Kill ${round}.${number}`;
    try {
      await app.call("jobs.create", { name, client: "", site: "", units: "metric" });
    } catch (error) {
      if (killed.aborted) return;
      throw error;
    }
    acknowledged.push(name);
  }
}

/** Kills the app while it is making jobs, at a moment that falls into another phase of a write each round. */
async function killInMidEdit(app, round, acknowledged) {
  const killed = new AbortController();
  const before = acknowledged.length;
  const making = makeJobsUntilGone(app, round, acknowledged, killed.signal);
  const some = (async () => {
    while (acknowledged.length < before + 3) await pause(1);
    await pause(round * 5);
  })();
  await Promise.race([making, some]);
  killed.abort();
  await stage.kill();
  await making;
}

test(`killed ${TIMES} times in mid-edit, nothing acknowledged is lost`, async () => {
  const acknowledged = [];
  for (let round = 0; round < TIMES; round += 1) {
    await killInMidEdit(await stage.start(), round, acknowledged);
    const again = await stage.start();
    const { jobs } = await again.call("jobs.list");
    const names = new Set(jobs.map((job) => job.name));
    assert.deepEqual(acknowledged.filter((name) => !names.has(name)), [], `lost in round ${round}`);
    await stage.stop();
  }
});

test("unfinished typing survives a kill", async () => {
  const app = await stage.start();
  await app.press("New job");
  await app.field("Job").then((field) => field.type("Half a na"));
  while (!Object.values((await app.call("draft.list")).drafts).includes("Half a na")) await pause(20);
  await stage.kill();
  const again = await stage.start();
  const field = await again.field("Job");
  assert.equal(await field.value(), "Half a na");
  await stage.stop();
});
