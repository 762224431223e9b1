// One room as the screens see it, and the walk round it: which distance waits, and what comes after it.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { ReadingView, RoomEdit, RoomView } from "../ipc/types.ts";
import { LengthEntry, pad } from "../keypad/pad.svelte.ts";
import { words } from "../words/words.ts";
import { Ask } from "./ask.svelte.ts";
import { nextPair, readingOf, saysElse, type Pair } from "./walk-order.ts";

export class RoomDesk {
  readonly job: string;
  readonly room: string;
  readonly ask = new Ask<RoomView>();
  waiting = $state.raw<Pair | null>(null);
  entry = $state.raw<LengthEntry | null>(null);
  /** The last edit refused outside the keypad, with the part of the screen it belongs to. */
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);

  constructor(job: string, room: string) {
    this.job = job;
    this.room = room;
    void this.load();
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call("room.view", { job: this.job, room: this.room }));
  }

  /** Sends an edit; a refusal is kept with `at`, the part of the screen that asked for it. */
  async edit(edit: RoomEdit, at: string): Promise<boolean> {
    try {
      this.ask.take(await call("room.edit", { job: this.job, room: this.room, edit }));
      if (this.refused?.at === at) this.refused = null;
      return true;
    } catch (reason) {
      this.refused = { at, problem: problemFrom(reason) };
      return false;
    }
  }

  refusal(at: string): Problem | null {
    return this.refused?.at === at ? this.refused.problem : null;
  }

  /** The reading that is kept of the waiting distance. */
  get stored(): ReadingView | null {
    return this.ask.value && this.waiting ? readingOf(this.ask.value, this.waiting) : null;
  }

  /** Whether something is typed that the room's verdict does not speak of. */
  get untaken(): boolean {
    const { entry, waiting } = this;
    const view = this.ask.value;
    return view !== null && waiting !== null && entry !== null && entry.text.trim() !== "" && saysElse(view, waiting, entry.read?.mm ?? null);
  }

  /** Opens the keypad for a distance. */
  measure(pair: Pair): void {
    const view = this.ask.value;
    if (!view) return;
    const entry = new LengthEntry(`reading/${this.job}/${this.room}/${pair.from}-${pair.to}`, view.units, "", true);
    pad.open(entry, words.keypad.next, () => void this.commit(), () => this.stop());
    this.waiting = pair;
    this.entry = entry;
  }

  /** Starts or goes on walking: the first distance that waits. */
  walk(): void {
    const pair = this.ask.value && nextPair(this.ask.value, null);
    if (pair) this.measure(pair);
  }

  stop(): void {
    if (this.entry) pad.close(this.entry);
    this.entry = null;
    this.waiting = null;
  }

  async commit(): Promise<void> {
    const { entry, waiting } = this;
    if (!entry || !waiting || entry.busy || entry.text.trim() === "") return;
    entry.busy = true;
    try {
      const edit: RoomEdit = { do: "set_reading", from: waiting.from, to: waiting.to, text: entry.final };
      const view = await call("room.edit", { job: this.job, room: this.room, edit });
      entry.accepted();
      this.ask.take(view);
      const next = nextPair(view, waiting);
      if (next) this.measure(next);
      else this.stop();
    } catch (reason) {
      entry.refused = problemFrom(reason);
    } finally {
      entry.busy = false;
    }
  }
}
