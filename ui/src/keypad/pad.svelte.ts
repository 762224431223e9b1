// The field a keypad or a meter types into. One field waits at a time; its text is kept as a draft.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { Typed, Units } from "../ipc/types.ts";
import { back } from "../state/back.ts";
import { drafts } from "../state/drafts.svelte.ts";
import { finish, hardwareKey, press, type Key } from "./keys.ts";

/** Milliseconds between a key and asking the core what it reads. */
const readAfter = 60;

export class LengthEntry {
  readonly key: string;
  readonly units: Units;
  /** Whether it is a distance read in a room, which a meter may type. */
  readonly reading: boolean;
  text = $state("");
  /** What the core reads in the text so far. */
  read = $state.raw<Typed | null>(null);
  unread = $state.raw<Problem | null>(null);
  /** Why the last commit was refused; the text stays. */
  refused = $state.raw<Problem | null>(null);
  busy = $state(false);
  #asking: ReturnType<typeof setTimeout> | undefined;
  #turn = 0;

  constructor(key: string, units: Units, initial = "", reading = false) {
    this.key = key;
    this.units = units;
    this.reading = reading;
    this.text = drafts.get(key) || initial;
    if (this.text) this.#ask(0);
  }

  type(text: string): void {
    this.text = text;
    this.refused = null;
    drafts.put(this.key, text);
    this.#ask(readAfter);
  }

  press(key: Key): void {
    this.type(press(this.text, key));
  }

  /** The text as it goes to the core. */
  get final(): string {
    return finish(this.text, this.units, this.reading);
  }

  accepted(): void {
    drafts.drop(this.key);
    this.refused = null;
  }

  #ask(after: number): void {
    clearTimeout(this.#asking);
    const turn = ++this.#turn;
    if (this.text.trim() === "") {
      this.read = this.unread = null;
      return;
    }
    this.#asking = setTimeout(() => void this.#readNow(turn), after);
  }

  async #readNow(turn: number): Promise<void> {
    try {
      const read = await call("length.read", { text: this.final, units: this.units, reading: this.reading });
      if (turn === this.#turn) [this.read, this.unread] = [read, null];
    } catch (reason) {
      if (turn === this.#turn) [this.read, this.unread] = [null, problemFrom(reason)];
    }
  }
}

class Pad {
  entry = $state.raw<LengthEntry | null>(null);
  commit: (() => void) | null = null;
  leave: (() => void) | null = null;
  /** What the accent key says. */
  commitWord = $state("");
  /** Says that it is closed otherwise than by Back. */
  #closed: (() => void) | null = null;

  open(entry: LengthEntry, commitWord: string, commit: () => void, leave: () => void): void {
    const left = this.leave;
    this.leave = null;
    if (this.entry !== entry) left?.();
    this.entry = entry;
    this.commitWord = commitWord;
    this.commit = commit;
    this.leave = leave;
    this.#closed ??= back.closes(() => this.#back());
  }

  close(entry?: LengthEntry): void {
    if (entry && this.entry !== entry) return;
    drafts.flush();
    this.entry = this.commit = this.leave = null;
    this.#closed?.();
    this.#closed = null;
  }

  #back(): void {
    this.#closed = null;
    this.leave?.();
  }

  /** Keys typed while no other field has them: a keyboard or a meter fills the waiting field. */
  hardware(event: KeyboardEvent): void {
    const { entry } = this;
    if (!entry || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const target = event.target as HTMLElement;
    const ours = target.dataset["entry"] === entry.key;
    if (!ours && (target.matches("input, textarea, select, [role=application]") || (target.matches("button, a") && ["Enter", "Tab", " "].includes(event.key)))) return;
    const does = hardwareKey(event.key);
    if (does === null || (ours && (does === "back" || typeof does === "object"))) return;
    if (does === "commit" && (event.key === "Tab" && (event.shiftKey || entry.text.trim() === ""))) return;
    event.preventDefault();
    if (does === "commit") this.commit?.();
    else if (does === "leave") this.leave?.();
    else if (does === "back") entry.press({ kind: "back" });
    else entry.type(entry.text + does.add);
  }
}

export const pad = new Pad();
