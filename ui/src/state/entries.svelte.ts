// What a quote or an order has beside the plan: forms that the core lays down, kept through one command.
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { GroundEdit } from "../ipc/types.ts";
import type { EntryDesk } from "./ground.svelte.ts";

export class EntriesOf<T> implements EntryDesk {
  readonly #name: string;
  readonly #send: (edit: GroundEdit) => Promise<T>;
  readonly #take: (answer: T) => void;
  /** The last edit refused, with the form it belongs to. */
  refused = $state.raw<{ at: string; problem: Problem } | null>(null);

  /** `name` keeps its drafts apart from those of other lists. */
  constructor(name: string, send: (edit: GroundEdit) => Promise<T>, take: (answer: T) => void) {
    [this.#name, this.#send, this.#take] = [name, send, take];
  }

  async edit(edit: GroundEdit, at: string): Promise<boolean> {
    try {
      this.#take(await this.#send(edit));
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
    return `entry/${this.#name}/${at}/`;
  }
}
