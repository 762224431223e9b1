// The crew as the screens see it; asked for again whenever the core tells that something of it has changed.
import { call, hear, phone } from "../ipc/client.ts";
import { problemFrom, type Problem } from "../ipc/errors.ts";
import type { CoreEvent, CrewView } from "../ipc/types.ts";
import { Ask } from "./ask.svelte.ts";
import { lookFor } from "./near.ts";

export class CrewDesk {
  readonly ask = new Ask<CrewView>();
  busy = $state(false);
  refused = $state.raw<Problem | null>(null);
  /** What came from another device and could not be kept, the last of it. */
  trouble = $state<string | null>(null);
  /** Whether the phone may not meet devices near, though there is somebody to meet. */
  notNear = $state(false);
  /** Seconds that the invitation still stands. */
  seconds = $state(0);
  #deaf: () => void;
  #clock: ReturnType<typeof setInterval>;
  /** The permission may have been given or taken in the phone's settings. */
  #shown = (): void => {
    if (document.visibilityState === "visible") void this.#look();
  };

  constructor() {
    this.#deaf = hear((event) => this.#hear(event), () => void this.load());
    this.#clock = setInterval(() => (this.seconds = Math.max(0, this.seconds - 1)), 1000);
    if (phone) document.addEventListener("visibilitychange", this.#shown);
    void this.load();
  }

  async load(): Promise<void> {
    if (await this.ask.run(() => call("crew.view", {}))) this.#took();
  }

  async invite(): Promise<boolean> {
    await this.#near();
    return this.#change(() => call("crew.invite", {}));
  }

  /** Closes the invitation, or gives up joining. */
  stop(): Promise<boolean> {
    return this.#change(() => call("crew.close", {}));
  }

  answer(yes: boolean): Promise<boolean> {
    return this.#change(() => call("crew.answer", { yes }));
  }

  async join(text: string): Promise<boolean> {
    await this.#near();
    return this.#change(() => call("crew.join", { text }));
  }

  remove(device: string): Promise<boolean> {
    return this.#change(() => call("crew.remove", { device }));
  }

  leave(): Promise<boolean> {
    return this.#change(() => call("crew.leave", {}));
  }

  /** Asks the phone for leave to meet devices. */
  allow(): Promise<void> {
    return this.#near();
  }

  close(): void {
    this.#deaf();
    clearInterval(this.#clock);
    document.removeEventListener("visibilitychange", this.#shown);
  }

  /** Asks the phone for leave to meet devices, now that it is needed. */
  async #near(): Promise<void> {
    if (phone) this.notNear = !(await phone.nearby(true).catch(() => true));
  }

  /** Whether that leave is there, without asking: whoever belongs to a crew must learn that it is not. */
  async #look(): Promise<void> {
    if (phone && (this.notNear || this.ask.value?.member)) this.notNear = !(await phone.nearby(false).catch(() => true));
  }

  #hear(event: CoreEvent): void {
    if (event.kind === "crew") void this.load();
    else if (event.kind === "trouble") this.trouble = event.words;
  }

  #took(): void {
    const crew = this.ask.value;
    this.seconds = crew?.invitation?.seconds ?? 0;
    if (crew) lookFor(crew);
    void this.#look();
  }

  async #change(question: () => Promise<CrewView>): Promise<boolean> {
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
