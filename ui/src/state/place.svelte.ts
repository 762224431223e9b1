// Which screen is open: kept in the address, and with the drafts so that the app opens where it was left, with the
// screens above it below it in the history.
import { drafts } from "./drafts.svelte.ts";
import { parsePlace, writePlace, type Place } from "./address.ts";
import { back } from "./back.ts";
import { wayTo } from "./parents.ts";

const draftKey = "place";

class Where {
  now = $state.raw<Place>(parsePlace(location.hash));

  /** Opens where the app was left, unless the address says otherwise. */
  start(): void {
    const left = location.hash.length <= 2 ? drafts.get(draftKey) : "";
    back.start(left ? wayTo(parsePlace(left)).map(writePlace) : []);
    this.#read();
    addEventListener("hashchange", () => this.#read());
  }

  go(place: Place): void {
    location.hash = writePlace(place);
  }

  #read(): void {
    this.now = parsePlace(location.hash);
    // At once and not after a stillness: the window may be closed as soon as a sheet has opened.
    drafts.put(draftKey, writePlace(this.now), true);
  }
}

export const where = new Where();
