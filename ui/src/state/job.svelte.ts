// One job as the screens see it: its view, kept fresh by events, and its undo and redo.
import { call, hear } from "../ipc/client.ts";
import type { JobView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";

/** Milliseconds in which several changes count as one. */
const together = 60;

export class JobDesk {
  readonly id: string;
  readonly view = new Ask<JobView>();
  /** The last edit of the job that was refused. */
  readonly edit = new Ask<JobView>();
  /** Grows with every change of the job, so that screens know to look again. */
  version = $state(0);
  #later: ReturnType<typeof setTimeout> | undefined;
  #deaf: () => void;

  constructor(id: string) {
    this.id = id;
    this.#deaf = hear(
      (event) => {
        if (event.kind === "changed" && event.job === id) this.#changed();
      },
      () => this.#changed(),
    );
    void this.load();
  }

  load(): Promise<boolean> {
    return this.view.run(() => call("job.view", { job: this.id }));
  }

  /** Runs an edit that answers with the job; answers whether it was accepted. */
  async change(question: () => Promise<JobView>): Promise<boolean> {
    const accepted = await this.edit.run(question);
    if (accepted && this.edit.value) this.view.take(this.edit.value);
    return accepted;
  }

  undo(): Promise<boolean> {
    return this.change(() => call("edit.undo", { job: this.id }));
  }

  redo(): Promise<boolean> {
    return this.change(() => call("edit.redo", { job: this.id }));
  }

  close(): void {
    clearTimeout(this.#later);
    this.#deaf();
  }

  #changed(): void {
    clearTimeout(this.#later);
    this.#later = setTimeout(() => {
      this.version++;
      void this.load();
    }, together);
  }
}
