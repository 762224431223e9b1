// What came from outside: an invitation goes to the crew's screen, a file is taken in at once; a locked one asks for its words.
// Pictures wait until somebody says which room they show.
import { arrivals, call } from "../ipc/client.ts";
import type { Arrival } from "../ipc/door.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { PhotosTaken, PinAsk } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { drafts } from "./drafts.svelte.ts";
import { where } from "./place.svelte.ts";
import { Task } from "./task.svelte.ts";

class Arrived {
  /** The file that is being taken in, or waits for its words. */
  file = $state<string | null>(null);
  busy = $state(false);
  /** What to tell of it: whose signature it bears, or why nothing came of it. */
  said = $state("");
  problem = $state.raw<Problem | null>(null);
  /** Pictures that wait, by their paths. */
  pictures = $state.raw<readonly string[]>([]);
  #waiting: string[] = [];

  start(): void {
    arrivals((arrival) => this.#hear(arrival));
  }

  /** Whether the file asks for the words it was locked with. */
  get locked(): boolean {
    return this.problem?.code === "handover.locked" || this.problem?.code === "handover.passphrase_wrong";
  }

  async take(passphrase: string): Promise<void> {
    if (this.file === null) return;
    this.busy = true;
    this.problem = null;
    try {
      const { jobs, words: said } = await call("files.bring", { path: this.file, ...(passphrase ? { passphrase } : {}) });
      this.said = said;
      this.file = null;
      const [first] = jobs;
      if (first) where.go(jobs.length > 1 ? { screen: "jobs" } : { screen: "job", job: first.id });
    } catch (reason) {
      this.problem = problemFrom(reason);
    } finally {
      this.busy = false;
    }
    if (this.file === null) this.#next();
  }

  /** Puts pictures where they belong. */
  async keep(job: string, paths: readonly string[], pin: PinAsk): Promise<void> {
    [this.busy, this.said, this.problem] = [true, "", null];
    try {
      const taken = await takenIn(job, paths, pin);
      this.said = words.arrived.kept(taken.added + taken.known);
      this.problem = taken.refused[0] ? problemFrom(taken.refused[0]) : null;
      this.pictures = this.pictures.filter((path) => !paths.includes(path));
    } catch (reason) {
      this.problem = problemFrom(reason);
    } finally {
      this.busy = false;
    }
  }

  /** Leaves it, and goes on with what came after it. */
  leave(): void {
    [this.file, this.said, this.problem, this.pictures] = [null, "", null, []];
    this.#next();
  }

  #hear(arrival: Arrival): void {
    if (arrival.kind === "file") {
      this.#waiting.push(arrival.text);
      if (this.file === null && !this.problem) this.#next();
    } else if (arrival.kind === "picture") this.pictures = [...this.pictures, arrival.text];
    else if (arrival.kind === "link") {
      drafts.put("crew/join", arrival.text, true);
      where.go({ screen: "crew" });
    } else this.said = words.arrived.lost(arrival.text);
  }

  #next(): void {
    const next = this.#waiting.shift();
    if (next === undefined) return;
    this.file = next;
    void this.take("");
  }
}

/** Takes photos in, and answers once that has ended. */
function takenIn(job: string, paths: readonly string[], pin: PinAsk): Promise<PhotosTaken> {
  return new Promise((done, fail) => {
    const end = (act: () => void): void => {
      task.close();
      act();
    };
    const task = new Task<PhotosTaken>((taken) => end(() => done(taken)), (problem) => end(() => fail(problem)));
    void task.start(() => call("photos.add", { job, paths: [...paths], pin }));
  });
}

export const arrived = new Arrived();
