// The window opens with the size that it was left with. A driver ends the program before it could write its size down, so
// what it would have written is put there.
import assert from "node:assert/strict";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Stage } from "./stage.mjs";

/** Of a laptop's window, and unlike the one that opens where nothing is kept. */
const LEFT = { width: 1011, height: 707 };

let stage;
before(async () => {
  stage = await Stage.open({ width: 1280, height: 900 });
  mkdirSync(stage.store, { recursive: true });
  const main = { ...LEFT, x: 40, y: 30, prev_x: 40, prev_y: 30, maximized: false, visible: true, decorated: true, fullscreen: false };
  writeFileSync(join(stage.store, "window-state.json"), JSON.stringify({ main }));
});
after(() => stage?.close());

test("a window of a phone's size stays one, whatever was kept", async () => {
  const app = await stage.start("--phone");
  assert.deepEqual(await app.script("return [innerWidth, innerHeight]"), [412, 915]);
  await stage.stop();
});

test("a window has the size that was kept", async () => {
  const app = await stage.start();
  const seen = "return innerWidth === arguments[0] && innerHeight === arguments[1]";
  assert.ok(await app.until(`a window of ${LEFT.width} × ${LEFT.height}`, seen, LEFT.width, LEFT.height));
  await stage.stop();
});
