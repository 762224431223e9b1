// The work on one area as the screens see it: asked for, marked, noted.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { WorkView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";

export type Reach = "piece" | "row" | "up_to";
export type Mark = "cut" | "laid" | "taken_up" | "spoilt";

export class WorkDesk {
  readonly job: string;
  readonly ask = new Ask<WorkView>();
  busy = $state(false);
  /** Why the last change was refused, with the part of the screen that asked for it. */
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);
  #area: string | null;

  constructor(job: string, area: string | null) {
    this.job = job;
    this.#area = area;
    void this.load();
  }

  get area(): string {
    return this.ask.value?.area?.id ?? this.#area ?? "";
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call("work.view", { job: this.job, ...(this.#area ? { area: this.#area } : {}) }));
  }

  mark(pieces: readonly string[], reach: Reach, state: Mark): Promise<boolean> {
    const plan = this.ask.value?.area?.plan ?? "";
    return this.change("mark", () => call("work.mark", { job: this.job, area: this.area, plan, pieces: [...pieces], reach, state }));
  }

  /** Runs a change that answers with the work; a refusal is kept with `at`. */
  async change(at: string, question: () => Promise<WorkView>): Promise<boolean> {
    this.busy = true;
    try {
      this.ask.take(await question());
      if (this.refused?.at === at) this.refused = null;
      return true;
    } catch (reason) {
      this.refused = { at, problem: problemFrom(reason) };
      return false;
    } finally {
      this.busy = false;
    }
  }

  refusal(at: string): Problem | null {
    return this.refused?.at === at ? this.refused.problem : null;
  }
}
