// What the shell lets the screens do, and what not: only the core, its events, and the two file dialogs.
import assert from "node:assert/strict";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Stage } from "./stage.mjs";

let stage;
let app;
before(async () => {
  stage = await Stage.open();
  app = await stage.start("--phone");
});
after(() => stage?.close());

/** What a command of the shell is refused with, or undefined if it is answered. */
function refusal(name, args = {}) {
  return app.wait(
    `const [name, args, done] = arguments;
     window.__TAURI_INTERNALS__.invoke(name, args).then(() => done(null), (reason) => done(String(reason.message ?? reason)));`,
    name,
    args,
  );
}

test("the window has the size of a phone when asked", async () => {
  assert.deepEqual(await app.script("return [innerWidth, innerHeight]"), [412, 915]);
});

test("the screens come from the program itself and break no rule of their own", async () => {
  assert.match(await app.script("return location.href"), /^tauri:\/\/localhost/);
  await app.script("document.addEventListener('securitypolicyviolation', (it) => (window.broken = it.violatedDirective))");
  await app.still();
  assert.equal(await app.script("return window.broken ?? null"), null);
});

test("nothing is fetched from anywhere", async () => {
  for (const address of ["https://example.org/", "http://127.0.0.1:9/", "tauri://localhost/index.html"]) {
    const text = `const [address, done] = arguments;
      document.addEventListener("securitypolicyviolation", (it) => done(it.effectiveDirective), { once: true });
      fetch(address).catch(() => setTimeout(done, 1000, "failed, but not by the policy"));`;
    assert.equal(await app.wait(text, address), "connect-src", address);
  }
});

test("no script can be slipped in", async () => {
  const text = `const script = document.createElement('script'); script.textContent = 'window.slipped = true';
    document.body.append(script); return window.slipped ?? false`;
  assert.equal(await app.script(text), false);
});

test("a second start hands on what it was started with, or nothing, and ends", async () => {
  const jobs = async () => (await app.call("jobs.list")).jobs.map((job) => job.name);
  assert.equal(await stage.again(), 0, "it leaves the store to the copy that has it open");
  assert.deepEqual(await jobs(), []);
  const sheet = join(stage.folder, "hut.drylay.json");
  writeFileSync(sheet, JSON.stringify({ drylay: 1, job: { name: "Fisher's hut" }, rooms: [] }));
  assert.equal(await stage.again(sheet), 0);
  await app.until("the job", "return document.body.innerText.includes(\"Fisher's hut\")");
  assert.deepEqual(await jobs(), ["Fisher's hut"]);
});

test("commands without a permission are refused", async () => {
  for (const name of ["plugin:event|emit", "plugin:window|close", "plugin:webview|create_webview_window", "plugin:dialog|message"]) {
    assert.match((await refusal(name, { event: "drylay" })) ?? "answered", /not allowed|not found/, name);
  }
});

test("an unknown command of the core is a problem with a code", async () => {
  await assert.rejects(() => app.call("no.such.command"), /"code"/);
});

test("a picture that is not there is not shown, and no path leads out of the store", async () => {
  for (const path of ["0".repeat(64), "..%2f..%2f..%2fetc%2fpasswd", "", "last-report.txt"]) {
    const text = `const [path, done] = arguments; const picture = new Image();
      picture.onload = () => done('shown'); picture.onerror = () => done('not shown'); picture.src = 'photo://localhost/' + path;`;
    assert.equal(await app.wait(text, path), "not shown", path);
  }
});

test("the log names calls and never what was in them", async () => {
  await app.call("draft.put", { key: "secret key", text: "secret words" }).catch(() => {});
  const log = join(stage.store, "log", "drylay.log");
  assert.ok(existsSync(log));
  const text = readFileSync(log, "utf8");
  assert.match(text, /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ start \d/m);
  assert.match(text, /draft\.put \d+ us/);
  assert.doesNotMatch(text, /secret/);
});
