// A phone's battery dies in mid-edit: what was acknowledged is there afterwards, every time.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";
import { Stage } from "./stage.mjs";

const binary = process.env.DRYLAY_APP;
const TIMES = Number(process.env.DRYLAY_KILLS ?? 8);
let stage;
before(async () => {
  stage = await Stage.open({ binary });
});
after(() => stage?.close());

/** Makes jobs one after another until the app is gone, and gives back the names that were acknowledged. */
async function makeJobsUntilGone(app, round) {
  const acknowledged = [];
  for (let number = 0; ; number += 1) {
    const name = `Kill ${round}.${number}`;
    try {
      await app.call("jobs.create", { name, client: "", site: "", units: "metric" });
    } catch {
      return acknowledged;
    }
    acknowledged.push(name);
  }
}

test(`killed ${TIMES} times in mid-edit, nothing acknowledged is lost`, async () => {
  const all = [];
  for (let round = 0; round < TIMES; round += 1) {
    const app = await stage.start();
    const making = makeJobsUntilGone(app, round);
    await pause(300 + 97 * round); // moments that fall into different phases of a write
    await stage.kill();
    const acknowledged = await making;
    assert.ok(acknowledged.length > 0, `round ${round} acknowledged nothing, so it proves nothing`);
    all.push(...acknowledged);
    const again = await stage.start();
    const { jobs } = await again.call("jobs.list");
    const names = new Set(jobs.map((job) => job.name));
    assert.deepEqual(all.filter((name) => !names.has(name)), [], `lost in round ${round}`);
    await again.close();
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
  await again.close();
});
