// One question to the core and how it stands: waiting, answered, refused. A newer asking makes an older answer void.
import { problemFrom, type Problem } from "../ipc/errors.ts";

export class Ask<T> {
  value = $state.raw<T | null>(null);
  problem = $state.raw<Problem | null>(null);
  busy = $state(false);
  #turn = 0;

  /** Runs the question; answers whether it was answered (and not overtaken). A refusal keeps the last value. */
  async run(question: () => Promise<T>): Promise<boolean> {
    const turn = ++this.#turn;
    this.busy = true;
    try {
      const value = await question();
      if (turn !== this.#turn) return false;
      this.value = value;
      this.problem = null;
      return true;
    } catch (reason) {
      if (turn === this.#turn) this.problem = problemFrom(reason);
      return false;
    } finally {
      if (turn === this.#turn) this.busy = false;
    }
  }

  /** Takes an answer that came another way, for instance with an edit. */
  take(value: T): void {
    this.#turn++;
    this.value = value;
    this.problem = null;
    this.busy = false;
  }
}
