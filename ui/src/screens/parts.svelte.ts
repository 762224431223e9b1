// What of the interface has been read: the list of jobs stands before the other screens have come. All of it is in the
// app itself, so none of it needs a network.
import type { Place } from "../state/address.ts";

type Rest = typeof import("./rest.ts");

/** So long the list has the processor for itself before the other screens are read, in milliseconds. */
const stillness = 400;

class Parts {
  /** All screens but the list of jobs, once they are there. */
  rest = $state.raw<Rest | null>(null);
  #coming: Promise<void> | null = null;

  /** Reads what the screen at this place needs, and the rest soon after it. */
  async ready(place: Place): Promise<void> {
    if (place.screen === "jobs") setTimeout(() => void this.read(), stillness);
    else await this.read();
  }

  /** Reads the other screens, once. */
  read(): Promise<void> {
    this.#coming ??= import("./rest.ts").then((rest) => {
      this.rest = rest;
    });
    return this.#coming;
  }
}

export const parts = new Parts();
