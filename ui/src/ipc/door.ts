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
  /** Where the window finds a stored picture. */
  photoAddress(hash: string): string;
  /** Where the window finds a paper that was made, `JOB/FILE`; nothing where it cannot show one. */
  paperAddress(name: string): string | null;
}
