// The plan of one area: fetched as deltas, searched with progress and cancel, shown, accepted.
import { call, hear } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { BestSoFar, ChoiceView, CoreEvent, PlanComparison, PlanView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";
import { mergePlan } from "./merge-plan.ts";

export interface Fixed { along?: [string, string]; offset?: string; order?: string; first_row?: string; shift?: string }

/** A choice as it is asked for by hand. */
export function fixedOf(choice: ChoiceView): Fixed {
  return { ...(choice.along ? { along: choice.along } : {}), offset: choice.offset, order: choice.order, first_row: choice.first_row.text, shift: choice.shift.text };
}

export class PlanDesk {
  readonly job: string;
  readonly area: string;
  readonly ask = new Ask<PlanView>();
  task = $state<string | null>(null);
  fraction = $state(0);
  note = $state("");
  /** The best that the search under way has found so far. */
  best = $state.raw<BestSoFar | null>(null);
  /** Another plan laid beside the one at hand. */
  beside = $state.raw<{ plan: PlanView; comparison: PlanComparison } | null>(null);
  /** Why the last search, acceptance or fixed choice was refused. */
  refused = $state.raw<Problem | null>(null);
  busy = $state(false);
  /** The stored plan at hand, which later answers are deltas to; a plan tried out is never one. */
  #base: PlanView | null = null;
  /** A plan found or tried out and not taken. */
  #tried: PlanView | null = null;
  /** Endings heard while the search's own answer was still on its way. */
  #early = new Map<string, CoreEvent>();
  #starting = false;
  #deaf: () => void;

  constructor(job: string, area: string) {
    this.job = job;
    this.area = area;
    this.#deaf = hear((event) => this.#hear(event));
    void this.load();
  }

  load(): Promise<boolean> {
    const have = this.#base;
    return this.ask.run(async () => {
      const answer = await call("plan.view", { job: this.job, area: this.area, ...(have ? { have: have.version } : {}) });
      const merged = mergePlan(have, answer);
      this.#base = merged;
      // A plan that was found or tried out stays at hand until the job's own has changed.
      if (this.#tried && have && answer.same) return this.#tried;
      this.#tried = null;
      return merged;
    });
  }

  async search(): Promise<void> {
    await this.#attempt(async () => {
      [this.fraction, this.note, this.best] = [0, "", null];
      this.#starting = true;
      try {
        const { task } = await call("plan.search", { job: this.job, area: this.area });
        this.task = task;
        const ended = this.#early.get(task);
        if (ended) this.#hear(ended);
      } finally {
        this.#starting = false;
        this.#early.clear();
      }
    });
  }

  async cancel(): Promise<void> {
    const { task } = this;
    if (task) await this.#attempt(() => call("task.cancel", { task }));
    this.task = null;
  }

  /** Ends the search and takes what it has found so far. */
  async takeBest(): Promise<void> {
    const { best } = this;
    await this.cancel();
    if (best) await this.accept(best.token);
  }

  /** Lays another choice beside the plan at hand. */
  compare(other: ChoiceView): Promise<void> {
    return this.#attempt(async () => {
      const one = this.ask.value?.choice.token;
      if (one === undefined) return;
      const [plan, comparison] = await Promise.all([
        call("plan.fix", { job: this.job, area: this.area, ...fixedOf(other) }),
        call("plan.compare", { job: this.job, area: this.area, one, other: other.token }),
      ]);
      this.beside = { plan, comparison };
    });
  }

  accept(token: string): Promise<void> {
    return this.#attempt(async () => {
      const taken = await call("plan.accept", { job: this.job, area: this.area, choice: token });
      this.#tried = null;
      this.ask.take(taken);
      this.beside = null;
    });
  }

  fix(fixed: Fixed): Promise<void> {
    return this.#attempt(async () => this.#try(await call("plan.fix", { job: this.job, area: this.area, ...fixed })));
  }

  close(): void {
    this.#deaf();
    if (this.task) void call("task.cancel", { task: this.task }).catch(() => {});
  }

  #hear(event: CoreEvent): void {
    if (!("task" in event)) return;
    if (event.task !== this.task) {
      if (this.#starting && event.kind !== "progress") this.#early.set(event.task, event);
    } else if (event.kind === "progress") [this.fraction, this.note, this.best] = [event.fraction, event.note, event.best ?? this.best];
    else if (event.kind === "finished") this.#ended(event.answer as PlanView, null);
    else this.#ended(null, problemFrom(event.problem));
  }

  #ended(answer: PlanView | null, problem: Problem | null): void {
    this.task = null;
    this.refused = problem;
    if (answer?.pieces) this.#try(answer);
    else void this.load();
  }

  #try(plan: PlanView): void {
    this.#tried = plan;
    this.ask.take(plan);
  }

  async #attempt(act: () => Promise<unknown>): Promise<void> {
    this.busy = true;
    try {
      await act();
      this.refused = null;
    } catch (reason) {
      this.refused = problemFrom(reason);
    } finally {
      this.busy = false;
    }
  }
}
