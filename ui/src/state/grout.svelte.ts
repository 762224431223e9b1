// The grouting of one area as the screens see it: sections marked done, what waits, and the one timer to what is due next.
import { call } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { GroutView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";
import { drafts } from "./drafts.svelte.ts";
import { due } from "./due.svelte.ts";

export class GroutDesk {
  readonly job: string;
  readonly area: string;
  readonly ask = new Ask<GroutView>();
  busy = $state(false);
  refused = $state.raw<Problem | null>(null);
  refusedSays = $state.raw<Problem | null>(null);
  minutesAgo = $state("");
  warmth = $state("");
  #wayOut: string | null = null;

  constructor(job: string, area: string) {
    this.job = job;
    this.area = area;
    due.again = () => void this.load();
    void this.load();
  }

  get #of(): { job: string; area: string; way_out?: string } {
    return { job: this.job, area: this.area, ...(this.#wayOut ? { way_out: this.#wayOut } : {}) };
  }

  async load(): Promise<void> {
    if (await this.ask.run(() => call("grout.view", this.#of))) this.#took();
  }

  leaveBy(way: string): void {
    this.#wayOut = way;
    void this.load();
  }

  /** Marks sections as grouted and washed. */
  async done(sections: readonly string[]): Promise<boolean> {
    const plan = this.ask.value?.plan ?? "";
    const done = await this.#change(() => call("grout.done", { ...this.#of, plan, sections: [...sections], minutes_ago: this.minutesAgo, warmth: this.warmth }));
    if (done) {
      // The warmth stays: it is that of the day. How long ago is said of each anew.
      this.minutesAgo = "";
      drafts.drop(`grout/${this.job}/${this.area}/ago`);
    }
    return done;
  }

  undone(entries: readonly string[]): Promise<boolean> {
    return this.#change(() => call("grout.undone", { ...this.#of, entries: [...entries] }));
  }

  async says(product: string, walk_hours: string, cure_hours: string): Promise<boolean> {
    this.refusedSays = null;
    try {
      this.ask.take(await call("grout.says", { job: this.job, area: this.area, product, walk_hours, cure_hours }));
      this.#took();
      return true;
    } catch (reason) {
      this.refusedSays = problemFrom(reason);
      return false;
    }
  }

  #took(): void {
    if (this.ask.value) due.wait(this.ask.value, `${this.job}/${this.area}`);
  }

  async #change(question: () => Promise<GroutView>): Promise<boolean> {
    this.busy = true;
    try {
      this.ask.take(await question());
      this.#took();
      this.refused = null;
      return true;
    } catch (reason) {
      this.refused = problemFrom(reason);
      return false;
    } finally {
      this.busy = false;
    }
  }
}
