// What carries a room's floor, or its heights, as the screens see it.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { GroundEdit, GroundView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";

export type GroundKind = "base" | "heights";

/** Who takes what is typed into the forms that the core lays down. */
export interface EntryDesk {
  /** Sends an edit; a refusal is kept with `at`, the form that asked for it. */
  edit(edit: GroundEdit, at: string): Promise<boolean>;
  refusal(at: string): Problem | null;
  /** Where what is typed into a form is kept. */
  draft(at: string): string;
}

export class GroundDesk implements EntryDesk {
  readonly job: string;
  readonly room: string;
  readonly kind: GroundKind;
  readonly ask = new Ask<GroundView>();
  /** The last edit refused, with the form it belongs to. */
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);

  constructor(job: string, room: string, kind: GroundKind) {
    [this.job, this.room, this.kind] = [job, room, kind];
    void this.load();
  }

  load(): Promise<boolean> {
    return this.ask.run(() => call(`${this.kind}.view`, { job: this.job, room: this.room }));
  }

  async edit(edit: GroundEdit, at: string): Promise<boolean> {
    try {
      this.ask.take(await call(`${this.kind}.edit`, { job: this.job, room: this.room, edit }));
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

  draft(at: string): string {
    return `ground/${this.job}/${this.room}/${at}/`;
  }
}
