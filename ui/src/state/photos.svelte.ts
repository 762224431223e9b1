// The photos and notes of a job as the screens see them; pictures are taken in as a task.
import { call, hear, pictures } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { CoreEvent, PhotoList, PhotosTaken, PinAsk, PinView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";
import { photographFor } from "./camera.ts";

/** Whether two pins name the same thing. */
export function samePin(one: PinView | null, other: PinAsk): boolean {
  return one !== null && one.what === other.what && (one.room ?? "") === (other.room ?? "") && (one.item ?? "") === (other.item ?? "");
}

export class PhotoDesk {
  readonly job: string;
  readonly ask = new Ask<PhotoList>();
  busy = $state(false);
  /** Pictures that were not taken in, and why. */
  failed = $state.raw<readonly Pick<Problem, "message" | "hint">[]>([]);
  refused = $state.raw<Problem | null>(null);
  #task: string | null = null;
  /** Endings heard before the answer that names the task. */
  #early = new Map<string, CoreEvent>();
  #deaf: () => void;

  constructor(job: string) {
    this.job = job;
    this.#deaf = hear((event) => this.#hear(event));
    void this.load();
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call("photos.list", { job: this.job }));
  }

  /** Lets a person choose pictures and takes them in. */
  add(pin: PinAsk): Promise<void> {
    return this.#takeIn(pin, pictures);
  }

  /** Has the phone's camera take a photo, and takes that in. */
  take(pin: PinAsk): Promise<void> {
    return this.#takeIn(pin, () => photographFor({ job: this.job, pin }));
  }

  async #takeIn(pin: PinAsk, choose: () => Promise<string[]>): Promise<void> {
    this.failed = [];
    try {
      const paths = await choose();
      if (paths.length === 0) return;
      this.busy = true;
      const { task } = await call("photos.add", { job: this.job, paths, pin });
      this.#task = task;
      const ended = this.#early.get(task);
      if (ended) this.#hear(ended);
    } catch (reason) {
      this.busy = false;
      this.failed = [problemFrom(reason)];
    }
  }

  mark(photo: string, what: string, points: [number, number][], words: string): Promise<boolean> {
    return this.#change(() => call("photos.draw", { job: this.job, photo, what, points, words }));
  }

  unmark(id: string): Promise<boolean> {
    return this.#change(() => call("photos.wipe", { job: this.job, id }));
  }

  remove(id: string): Promise<boolean> {
    return this.#change(() => call("photos.remove", { job: this.job, id }));
  }

  note(text: string, pin: PinAsk): Promise<boolean> {
    return this.#change(() => call("notes.set", { job: this.job, words: text, pin }));
  }

  dropNote(id: string): Promise<boolean> {
    return this.#change(() => call("notes.remove", { job: this.job, id }));
  }

  close(): void {
    this.#deaf();
  }

  async #change(question: () => Promise<PhotoList>): Promise<boolean> {
    try {
      this.ask.take(await question());
      this.refused = null;
      return true;
    } catch (reason) {
      this.refused = problemFrom(reason);
      return false;
    }
  }

  #hear(event: CoreEvent): void {
    if (event.kind === "picture" && this.ask.value?.photos.some((photo) => photo.hash === event.hash)) void this.load();
    if (!("task" in event) || event.kind === "progress") return;
    if (event.task !== this.#task) {
      if (this.busy && this.#task === null) this.#early.set(event.task, event);
      // Photos that came from outside are taken in without this desk.
      else void this.load();
      return;
    }
    this.#task = null;
    this.#early.clear();
    this.busy = false;
    if (event.kind === "failed") this.failed = [problemFrom(event.problem)];
    else this.failed = (event.answer as PhotosTaken).refused.map(problemFrom);
    void this.load();
  }
}
