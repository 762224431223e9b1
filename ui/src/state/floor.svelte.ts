// A room's floor as the screens see it: the walk with the rod, tasks that judge and correct, the straightedge.
import { call, hear } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { CoreEvent, FloorEdit, FloorView, Point, StraightedgeView } from "../ipc/types.ts";
import { LengthEntry, pad } from "../keypad/pad.svelte.ts";
import { words } from "../words/words.ts";
import { Ask } from "./ask.svelte.ts";

/** A place where the rod is read: a station, a point again, or a reading that is put right. */
export interface Waiting {
  point: string;
  at: Point;
  label: string;
  hint: string;
  /** The reading that is corrected. */
  corrects?: string;
}

export class FloorDesk {
  readonly job: string;
  readonly room: string;
  readonly ask = new Ask<FloorView>();
  /** The round that is looked at; the newest where it is null. */
  round = $state<number | null>(null);
  waiting = $state.raw<Waiting | null>(null);
  entry = $state.raw<LengthEntry | null>(null);
  /** The set-up that readings are taken from; the last one where it is null. */
  setup = $state<string | null>(null);
  task = $state<{ id: string; is: "judge" | "correct" } | null>(null);
  fraction = $state(0);
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);
  /** The straightedge as it is held, and how it lies there. */
  edge = $state.raw<[Point, Point] | null>(null);
  laid = $state.raw<StraightedgeView | null>(null);
  /** Why it cannot lie there. */
  offFloor = $state.raw<Problem | null>(null);
  #laying = false;
  #next: [Point, Point] | null = null;
  #early = new Map<string, CoreEvent>();
  #starting = false;
  #deaf: () => void;

  constructor(job: string, room: string) {
    this.job = job;
    this.room = room;
    this.#deaf = hear((event) => this.#hear(event));
    void this.load();
  }

  get #of(): { job: string; room: string; round?: number } {
    return { job: this.job, room: this.room, ...(this.round === null ? {} : { round: this.round }) };
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call("floor.view", this.#of));
  }

  look(round: number | null): void {
    this.stop();
    this.round = round;
    void this.load();
  }

  /** Sends an edit; a refusal is kept with `at`, the part of the screen that asked for it. */
  async edit(edit: FloorEdit, at: string): Promise<boolean> {
    try {
      this.ask.take(await call("floor.edit", { job: this.job, room: this.room, edit }));
      this.round = null;
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

  // — the walk —

  /** The set-up that is read from. */
  get from(): string {
    const setups = this.ask.value?.setups ?? [];
    return setups.find((one) => one.id === this.setup)?.id ?? setups[setups.length - 1]?.id ?? "";
  }

  measure(waiting: Waiting): void {
    const view = this.ask.value;
    if (!view) return;
    const entry = new LengthEntry(`rod/${this.job}/${this.room}/${view.round}/${waiting.corrects ?? waiting.point}`, view.units, "", true);
    pad.open(entry, words.keypad.next, () => void this.commit(), () => this.stop());
    this.waiting = waiting;
    this.entry = entry;
  }

  station(n: number): boolean {
    const view = this.ask.value;
    const station = view?.stations[n];
    if (!view || !station) return false;
    this.measure({ point: station.id, at: station.at, label: words.floor.place(view.points.length + 1, view.points.length + view.stations.length), hint: station.words });
    return true;
  }

  again(id: string): void {
    const point = this.ask.value?.points.find((one) => one.id === id);
    if (point) this.measure({ point: id, at: point.at, label: words.floor.pointAgain(point.label), hint: words.earlier(point.readings.map((one) => one.text).join(", ")) });
  }

  correct(id: string, reading: string, text: string): void {
    const point = this.ask.value?.points.find((one) => one.id === id);
    if (point) this.measure({ point: id, at: point.at, label: words.floor.pointRight(point.label), hint: words.earlier(text), corrects: reading });
  }

  /** Goes on where the walk is: to what ties the set-up first, else to the next place. */
  walk(after = 0): void {
    const view = this.ask.value;
    if (!view) return;
    const tie = view.setups.find((one) => one.id === this.from)?.tie;
    const point = tie && view.points.find((one) => one.id === tie);
    if (point) return this.measure({ point: point.id, at: point.at, label: words.floor.pointTie(point.label), hint: words.floor.tieHint });
    if (!this.station(after % Math.max(view.stations.length, 1))) this.stop();
  }

  /** Leaves the place that waits for later. */
  skip(): void {
    this.walk(this.#place() + 1);
  }

  #place(): number {
    return Math.max(0, this.ask.value?.stations.findIndex((one) => one.id === this.waiting?.point) ?? 0);
  }

  stop(): void {
    if (this.entry) pad.close(this.entry);
    this.entry = null;
    this.waiting = null;
  }

  async commit(): Promise<void> {
    const { entry, waiting } = this;
    if (!entry || !waiting || entry.busy || entry.text.trim() === "") return;
    const after = this.#place();
    entry.busy = true;
    try {
      const edit: FloorEdit = waiting.corrects
        ? { do: "correct", id: waiting.corrects, text: entry.final }
        : { do: "read", point: waiting.point, at: waiting.at, setup: this.from, text: entry.final };
      const view = await call("floor.edit", { job: this.job, room: this.room, edit });
      entry.accepted();
      this.round = null;
      this.ask.take(view);
      // What was read again or put right was one place: the walk does not go on from it by itself.
      const wasStation = !waiting.corrects && !waiting.label.startsWith(words.floor.againMark);
      if (wasStation) this.walk(after);
      else this.stop();
    } catch (reason) {
      entry.refused = problemFrom(reason);
    } finally {
      entry.busy = false;
    }
  }

  // — tasks —

  judge(): Promise<void> {
    return this.#start("judge", () => call("floor.judge", { job: this.job, room: this.room }));
  }

  workOut(): Promise<void> {
    return this.#start("correct", () => call("floor.correct", this.#of));
  }

  async cancel(): Promise<void> {
    const { task } = this;
    this.task = null;
    if (task) await call("task.cancel", { task: task.id }).catch(() => {});
  }

  close(): void {
    this.#deaf();
    this.stop();
    if (this.task) void call("task.cancel", { task: this.task.id }).catch(() => {});
  }

  async #start(is: "judge" | "correct", begin: () => Promise<{ task: string }>): Promise<void> {
    this.fraction = 0;
    this.#starting = true;
    try {
      const { task } = await begin();
      this.task = { id: task, is };
      if (this.refused?.at === is) this.refused = null;
      const ended = this.#early.get(task);
      if (ended) this.#hear(ended);
    } catch (reason) {
      this.refused = { at: is, problem: problemFrom(reason) };
    } finally {
      this.#starting = false;
      this.#early.clear();
    }
  }

  #hear(event: CoreEvent): void {
    if (!("task" in event)) return;
    if (event.task !== this.task?.id) {
      if (this.#starting && event.kind !== "progress") this.#early.set(event.task, event);
    } else if (event.kind === "progress") this.fraction = event.fraction;
    else {
      const { is } = this.task;
      this.task = null;
      if (event.kind === "failed") this.refused = { at: is, problem: problemFrom(event.problem) };
      // What is asked now counts: readings may have been typed while the task ran.
      else void this.load();
    }
  }

  // — the straightedge —

  /** Lays it along the worst place, or across the middle of the floor. */
  takeEdge(long: number): void {
    const view = this.ask.value;
    if (!view) return;
    const worst = view.tolerances.flatMap((one) => one.worst)[0];
    if (worst) return this.lay(worst.line);
    const xs = view.points.map((one) => one.at[0]), ys = view.points.map((one) => one.at[1]);
    const [x, y] = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
    this.lay([[x - long / 2, y], [x + long / 2, y]]);
  }

  putAway(): void {
    this.edge = this.laid = this.offFloor = null;
  }

  /** Holds it there, and asks how it lies; while one asking is under way only the last place counts. */
  lay(edge: [Point, Point]): void {
    this.edge = edge;
    if (this.#laying) this.#next = edge;
    else void this.#ask(edge);
  }

  async #ask(edge: [Point, Point]): Promise<void> {
    this.#laying = true;
    try {
      const laid = await call("floor.lay_edge", { ...this.#of, from: edge[0], to: edge[1] });
      if (this.edge) [this.laid, this.offFloor] = [laid, null];
    } catch (reason) {
      if (this.edge) [this.laid, this.offFloor] = [null, problemFrom(reason)];
    }
    this.#laying = false;
    const next = this.#next;
    this.#next = null;
    if (next && this.edge) void this.#ask(next);
  }
}
