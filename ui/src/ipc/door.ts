// What a way to the core has to offer; `#door` is one of window.ts, bridge.ts, chosen by the build.
import type { CoreEvent } from "./types.ts";

export interface Door {
  /** Sends one command; rejects with whatever the core or the way to it gave back. */
  send(name: string, args: unknown, closing: boolean): Promise<unknown>;
  /** Listens to the one event stream; `missed` is called when events may have been lost. */
  listen(hear: (event: CoreEvent) => void, missed: () => void): void;
  /** Lets a person choose pictures; answers the whole paths by which the core can read them. */
  pictures(): Promise<string[]>;
  /** Lets a person say where a file of that name goes; answers the path that the core is to write, or null. */
  place(name: string): Promise<string | null>;
  /** The core has written it: where the person said, or where it is handed on from. */
  written(path: string, name: string): Promise<void>;
  /** Lets a person choose a hand-over file; answers the path by which the core can read it, or null. */
  handed(): Promise<string | null>;
  /** What came from outside: fetched now and whenever more comes. Absent where nothing can. */
  arrivals?(hear: (arrival: Arrival) => void): void;
  /** What only a phone can do; absent elsewhere. */
  phone?: Phone;
  /** Where the window finds a stored picture. */
  photoAddress(hash: string): string;
  /** Where the window finds a paper that was made, `JOB/FILE`; nothing where it cannot show one. */
  paperAddress(name: string): string | null;
}

/** A file or a picture to be taken in (its path), an invitation (its link), or why something was lost. */
export interface Arrival {
  kind: "file" | "picture" | "link" | "lost";
  text: string;
}

/** How far a phone's bars reach into the window, in CSS pixels. */
export interface Bars {
  top: number;
  right: number;
  bottom: number;
  left: number;
}

export interface Phone {
  /** Tells how far the bars reach, now and whenever that changes. */
  bars(hear: (bars: Bars) => void): void;
  /** Keeps the screen on, or no longer. */
  awake(on: boolean): Promise<void>;
  /** Whether the icons upon the bars are dark ones. */
  darkIcons(on: boolean): Promise<void>;
  /** Whether there is a crew to look for, or one that is being made or joined. */
  discover(on: boolean): Promise<void>;
  /** Whether devices near may be met; asks only if told to, and where that takes a permission. */
  nearby(ask: boolean): Promise<boolean>;
  /** Whether notices may be shown; asks only if told to. */
  notices(ask: boolean): Promise<boolean>;
  /** Has the phone say these words at that moment (milliseconds since 1970), the app open or not; null for nothing more. */
  remind(key: string, words: string, at: number | null): Promise<void>;
  /** Has the phone's own camera take a photo; answers its path, or null. */
  camera(): Promise<string | null>;
  /** The photo that was being taken when the system ended the app: its path, or null. Answered once. */
  photoLeft(): Promise<string | null>;
  /** Lets a person choose which app gets a file. */
  share(path: string, kind: string): Promise<void>;
}
