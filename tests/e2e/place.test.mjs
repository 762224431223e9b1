// The window comes back as it was left: its size, from one start to the next. A window of a phone's size, which nobody has
// chosen, is not kept.
import assert from "node:assert/strict";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Stage } from "./stage.mjs";

let stage;
before(async () => {
  stage = await Stage.open({ width: 1280, height: 900 });
});
after(() => stage?.close());

const kept = () => join(stage.store, "window-state.json");
const sizeOf = (app) => app.script("return [innerWidth, innerHeight]");

test("a window of a phone's size is not kept", async () => {
  await stage.start("--phone");
  await stage.stop();
  assert.ok(!existsSync(kept()) || !("main" in JSON.parse(readFileSync(kept(), "utf8"))));
});

test("a window has the size that it was left with", async () => {
  const first = await sizeOf(await stage.start());
  await stage.stop();
  const state = JSON.parse(readFileSync(kept(), "utf8"));
  assert.deepEqual([state.main.width, state.main.height], first);

  // No window manager is here, and so nobody who could pull at an edge: what would be kept then is written instead.
  const left = [first[0] - 120, first[1] - 90];
  state.main.width = left[0];
  state.main.height = left[1];
  writeFileSync(kept(), JSON.stringify(state));
  const app = await stage.start();
  await app.until(`a window of ${left.join(" × ")}`, "return innerWidth === arguments[0] && innerHeight === arguments[1]", ...left);
  await stage.stop();
  const again = JSON.parse(readFileSync(kept(), "utf8")).main;
  assert.deepEqual([again.width, again.height], left);
});
