// A stage for the real app: a screen of its own, a home and a store of its own, and WebKitWebDriver to drive it.
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { Driver } from "./webdriver.mjs";

/** The app as `cargo xtask test build` leaves it. */
const BUILT = process.env.DRYLAY_APP ?? fileURLToPath(new URL("../../target/debug/drylay-desktop", import.meta.url));

export class Stage {
  #children = [];
  #screen;
  #driver;
  #app;

  /** `width` and `height` are those of the screen in pixels. */
  static async open({ binary = BUILT, width = 412, height = 915 } = {}) {
    const stage = new Stage();
    stage.binary = binary;
    if (!existsSync(binary)) throw new Error(`${binary} is not built. Run: cargo xtask test build`);
    stage.folder = mkdtempSync(join(tmpdir(), "drylay-stage-"));
    stage.store = join(stage.folder, "store");
    stage.#screen = await stage.#startScreen(width, height);
    return stage;
  }

  /** Starts the app on the stage's store, as often as one likes, one after the other; `begun` says when. */
  async start(...args) {
    const port = await freePort();
    this.#driver = this.#spawn("WebKitWebDriver", [`--port=${port}`, "--host=127.0.0.1"], {
      DISPLAY: this.#screen,
      TAURI_WEBVIEW_AUTOMATION: "true",
    });
    await answers(port, this.#driver);
    this.begun = performance.now();
    this.#app = await Driver.start(`http://127.0.0.1:${port}`, this.binary, args);
    await this.#app.until("the screens", "return window.__TAURI_INTERNALS__ !== undefined && document.body?.innerText.trim() !== ''");
    return this.#app;
  }

  /** Starts the app once more beside the one that runs; answers the status that this copy ends with. */
  async again(...args) {
    const copy = this.#spawn(this.binary, args, { DISPLAY: this.#screen });
    return await new Promise((ended) => copy.once("exit", ended));
  }

  /** Closes the app as a person does, and waits until it is gone. */
  async stop() {
    await this.#app.close();
    await this.#gone();
  }

  /** Ends the app as a dead battery does: by SIGKILL, without a word. */
  async kill() {
    const running = this.#processes();
    if (running.length === 0) throw new Error("The app is not running, so it cannot be killed.");
    for (const id of running) process.kill(id, "SIGKILL");
    await this.#gone(running);
  }

  /** Waits until none is left. One that was killed has no environment any more, but may not have let go of its files. */
  async #gone(killed = []) {
    const left = () => this.#processes().length > 0 || killed.some(holdsFiles);
    for (const end = Date.now() + 10_000; left(); await pause(10)) {
      if (Date.now() > end) throw new Error("The app did not end within 10 s.");
    }
    this.#driver.kill("SIGKILL");
  }

  /** The processes of the app on this stage's store. */
  #processes() {
    return readdirSync("/proc").filter((name) => /^\d+$/.test(name) && this.#isOurs(name)).map(Number);
  }

  #isOurs(id) {
    try {
      const mine = readFileSync(`/proc/${id}/environ`, "utf8").includes(`DRYLAY_STORE=${this.store}\0`);
      return mine && readFileSync(`/proc/${id}/cmdline`, "utf8").split("\0")[0] === this.binary;
    } catch {
      return false; // it has ended meanwhile
    }
  }

  /** Strikes the stage: nothing of it stays. */
  close() {
    for (const child of this.#children.reverse()) child.kill("SIGKILL");
    for (const id of this.#processes()) process.kill(id, "SIGKILL");
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 5 });
  }

  #spawn(program, args, more = {}) {
    // The home must exist: without one, starting the app waits ten seconds for a message bus.
    const env = { ...process.env, HOME: this.folder, XDG_RUNTIME_DIR: this.folder, DRYLAY_STORE: this.store, ...more };
    for (const name of ["XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "WAYLAND_DISPLAY"]) delete env[name];
    const child = spawn(program, args, { env, stdio: ["ignore", "ignore", "inherit", "pipe"] });
    child.on("error", (error) => console.error(`${program} could not be started: ${error.message}`));
    this.#children.push(child);
    return child;
  }

  /** Xvfb picks a free number by itself and says it on the descriptor it is given. */
  async #startScreen(width, height) {
    const screen = this.#spawn("Xvfb", ["-displayfd", "3", "-screen", "0", `${width}x${height}x24`, "-nolisten", "tcp"]);
    const number = await new Promise((said, failed) => {
      screen.stdio[3].once("data", (bytes) => said(bytes.toString().trim()));
      screen.once("exit", (status) => failed(new Error(`Xvfb ended with ${status}.`)));
      screen.once("error", failed);
    });
    return `:${number}`;
  }
}

/**
 * Whether a process may still hold files: one of its threads is there yet. The first of them may be gone, with only the
 * entry left that its parent has to collect, while another still waits for the disk.
 */
function holdsFiles(id) {
  try {
    return readdirSync(`/proc/${id}/task`).some((thread) => isAlive(`/proc/${id}/task/${thread}/stat`));
  } catch {
    return false;
  }
}

function isAlive(file) {
  try {
    const stat = readFileSync(file, "utf8");
    return !["Z", "X"].includes(stat.slice(stat.lastIndexOf(")") + 2)[0]);
  } catch {
    return false;
  }
}

function freePort() {
  return new Promise((found, failed) => {
    const server = createServer();
    server.once("error", failed);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => found(port));
    });
  });
}

async function answers(port, driver) {
  for (let tries = 0; tries < 200; tries += 1) {
    if (driver.exitCode !== null) throw new Error(`WebKitWebDriver ended with ${driver.exitCode}.`);
    const status = await fetch(`http://127.0.0.1:${port}/status`).catch(() => undefined);
    if (status?.ok) return;
    await pause(25);
  }
  throw new Error("WebKitWebDriver did not answer within 5 s.");
}
