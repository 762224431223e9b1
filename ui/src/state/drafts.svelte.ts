// What is typed and not yet accepted, stored by the core as it is typed, so that it is there again after a kill.
import { call } from "../ipc/client.ts";

/** Milliseconds of stillness before a draft is sent. */
const still = 120;

class Drafts {
  /** Drafts as the store had them at the start, and as typed since. */
  #known = new Map<string, string>();
  #waiting = new Map<string, ReturnType<typeof setTimeout>>();
  #sending = new Map<string, Promise<void>>();
  /** Keys whose last text waits for an earlier sending to be answered. */
  #behind = new Set<string>();

  /** Loads them; answers the language that was chosen for this device, which comes along. */
  async load(): Promise<string | null> {
    const { drafts, language } = await call("draft.list", {});
    for (const [key, text] of Object.entries(drafts)) if (!this.#known.has(key)) this.#known.set(key, text);
    return language;
  }

  get(key: string): string {
    return this.#known.get(key) ?? "";
  }

  /** Whether anything is kept whose key begins so. */
  any(prefix: string): boolean {
    return [...this.#known].some(([key, text]) => key.startsWith(prefix) && text !== "");
  }

  /** Keeps a text; `now` sends it without waiting for a stillness. */
  put(key: string, text: string, now = false): void {
    if (this.get(key) === text) return;
    this.#known.set(key, text);
    clearTimeout(this.#waiting.get(key));
    if (now) return this.#send(key, false);
    this.#waiting.set(key, setTimeout(() => this.#send(key, false), still));
  }

  /** The text was accepted or given up: nothing is left to keep. */
  drop(key: string): void {
    if (!this.#known.has(key) && !this.#waiting.has(key)) return;
    this.#known.set(key, "");
    this.#send(key, false);
  }

  /** Drops every draft whose key begins so. */
  dropAll(prefix: string): void {
    for (const [key, text] of this.#known) if (key.startsWith(prefix) && text !== "") this.drop(key);
  }

  /** Sends at once what still waits; `closing` when the window may be gone before the answer. */
  flush(closing = false): void {
    const keys = new Set([...this.#waiting.keys(), ...(closing ? this.#behind : [])]);
    for (const key of keys) this.#send(key, closing);
  }

  /** Sends one key's text. Sendings of a key follow one another: on a way that may overtake, the last word must win. */
  #send(key: string, closing: boolean): void {
    clearTimeout(this.#waiting.get(key));
    this.#waiting.delete(key);
    const before = closing ? undefined : this.#sending.get(key);
    if (before) this.#behind.add(key);
    const send = (): Promise<unknown> => {
      this.#behind.delete(key);
      return call("draft.put", { key, text: this.get(key) }, closing);
    };
    const sending = before ? before.then(send) : send();
    const settled = sending.then(() => {}, () => this.#later(key));
    this.#sending.set(key, settled);
    void settled.then(() => this.#sending.get(key) === settled && this.#sending.delete(key));
  }

  /** Kept here and tried again; the screens show by themselves that the core does not answer. */
  #later(key: string): void {
    if (!this.#waiting.has(key)) this.#waiting.set(key, setTimeout(() => this.#send(key, false), 2000));
  }
}

export const drafts = new Drafts();

/** Sends waiting drafts when the window is hidden, left or closed. */
export function keepDrafts(): void {
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") drafts.flush(true);
  });
  addEventListener("pagehide", () => drafts.flush(true));
  addEventListener("blur", () => drafts.flush());
}
