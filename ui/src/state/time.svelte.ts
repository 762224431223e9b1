// The time and materials of a job as the screens see them: asked for and changed.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { TimeView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";

export class TimeDesk {
  readonly job: string;
  readonly ask = new Ask<TimeView>();
  busy = $state(false);
  /** Why the last change was refused, with the part of the screen that asked for it. */
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);

  constructor(job: string) {
    this.job = job;
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call("time.view", { job: this.job }));
  }

  /** Runs a change that answers with the time; a refusal is kept with `at`. */
  async change(at: string, question: () => Promise<TimeView>): Promise<boolean> {
    this.busy = true;
    try {
      this.ask.take(await question());
      this.refused = null;
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
