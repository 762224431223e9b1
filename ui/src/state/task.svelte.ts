// A task of the core as a screen sees it: started, told how far it is, cancelled, ended.
import { call, hear } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { CoreEvent } from "../ipc/types.ts";

export class Task<T> {
  id = $state<string | null>(null);
  fraction = $state(0);
  problem = $state.raw<Problem | null>(null);
  #done: (answer: T) => void;
  #failed: (problem: Problem) => void;
  #starting = false;
  #early = new Map<string, CoreEvent>();
  #deaf: () => void;

  constructor(done: (answer: T) => void, failed: (problem: Problem) => void = () => {}) {
    this.#done = done;
    this.#failed = failed;
    this.#deaf = hear((event) => this.#hear(event));
  }

  /** Starts the task, unless one is under way. */
  async start(begin: () => Promise<{ task: string }>): Promise<void> {
    if (this.id !== null || this.#starting) return;
    this.#starting = true;
    [this.fraction, this.problem] = [0, null];
    try {
      this.id = (await begin()).task;
      // It may have ended before its name was known here.
      const ended = this.#early.get(this.id);
      if (ended) this.#hear(ended);
    } catch (reason) {
      this.#fail(problemFrom(reason));
    } finally {
      this.#starting = false;
      this.#early.clear();
    }
  }

  async cancel(): Promise<void> {
    if (this.id !== null) await call("task.cancel", { task: this.id });
  }

  close(): void {
    this.#deaf();
    void this.cancel().catch(() => {});
  }

  #hear(event: CoreEvent): void {
    if (!("task" in event)) return;
    if (event.task !== this.id) {
      if (this.#starting && event.kind !== "progress") this.#early.set(event.task, event);
    } else if (event.kind === "progress") this.fraction = event.fraction;
    else {
      this.id = null;
      if (event.kind === "failed") this.#fail(problemFrom(event.problem));
      else this.#done(event.answer as T);
    }
  }

  #fail(problem: Problem): void {
    this.problem = problem;
    this.#failed(problem);
  }
}
