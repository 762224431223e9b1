// Back, as the window's own history tells it: it closes what lies over a screen before it leaves the screen.
//
// What opens over a screen stands on an entry of its own, with the screen's address. Where it was closed otherwise its
// entry stays for what opens next; Back goes on over one that nothing stands on.

/** Where in the history the window stands: how many entries lie below, and how many of the last are for what lies over a screen. */
interface Entry {
  at: number;
  over: number;
}

/** Closes what is open; true where it stays all the same. */
type Close = () => boolean | void;

class Back {
  #now: Entry = { at: 0, over: 0 };
  #open: Close[] = [];

  /** Begins to listen. The screens above the place that is opened first are put below it, from the outermost. */
  start(addresses: readonly string[]): void {
    const left = entryOf(history.state);
    if (left) this.#now = left;
    else history.replaceState(this.#now, "", addresses[0]);
    if (!left) addresses.slice(1).forEach((address) => this.#push({ at: this.#now.at + 1, over: 0 }, address));
    // A new address is told by either event, depending on the window; the second finds nothing to do.
    addEventListener("popstate", () => this.#moved());
    addEventListener("hashchange", () => this.#moved());
  }

  /** Something opened over the screen: Back calls `close`. To be called: what is answered, once it is closed otherwise. */
  closes(close: Close): () => void {
    this.#open.push(close);
    this.#stand();
    return () => {
      this.#open = this.#open.filter((one) => one !== close);
    };
  }

  #stand(): void {
    if (this.#now.over < this.#open.length) this.#push({ at: this.#now.at + 1, over: this.#now.over + 1 });
  }

  #push(entry: Entry, address?: string): void {
    history.pushState(entry, "", address);
    this.#now = entry;
  }

  #moved(): void {
    const [before, now] = [this.#now, entryOf(history.state)];
    if (!now) {
      this.#now = { at: before.at + 1, over: 0 };
      history.replaceState(this.#now, "");
      return;
    }
    this.#now = now;
    const down = before.over - now.over;
    // Only a step down on one screen closes anything: with another screen goes what lay over this one.
    if (down > 0 && before.at - now.at === down) this.#down();
  }

  #down(): void {
    if (this.#open.length <= this.#now.over) return history.back();
    const close = this.#open.pop();
    if (!close?.()) return;
    this.#open.push(close);
    this.#stand();
  }
}

function entryOf(state: unknown): Entry | null {
  const { at, over } = (state ?? {}) as Partial<Entry>;
  return typeof at === "number" && typeof over === "number" ? { at, over } : null;
}

export const back = new Back();
