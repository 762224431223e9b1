// The one way the screens talk to the core: typed calls, and the event stream.
import { door } from "#door";
import type { Arrival, Phone } from "./door.ts";
import { problemFrom } from "./errors.ts";
import type { CommandName, Commands, CoreEvent } from "./types.ts";

type Ask<N extends CommandName> = Commands[N][0];
type Answer<N extends CommandName> = Commands[N][1];

/** Sends a command and answers, or throws a Problem. */
export async function call<N extends CommandName>(name: N, args: Ask<N>, closing = false): Promise<Answer<N>> {
  try {
    return (await door.send(name, args, closing)) as Answer<N>;
  } catch (reason) {
    throw problemFrom(reason);
  }
}

const ears = new Set<(event: CoreEvent) => void>();
const missedEars = new Set<() => void>();
let listening = false;

/** Hears every event until the returned function is called; `missed` when some may have been lost. */
export function hear(ear: (event: CoreEvent) => void, missed?: () => void): () => void {
  if (!listening) {
    listening = true;
    door.listen(
      (event) => ears.forEach((each) => each(event)),
      () => missedEars.forEach((each) => each()),
    );
  }
  ears.add(ear);
  if (missed) missedEars.add(missed);
  return () => {
    ears.delete(ear);
    if (missed) missedEars.delete(missed);
  };
}

/** Lets a person choose pictures; answers the paths by which the core can read them, none when nothing was chosen. */
export async function pictures(): Promise<string[]> {
  try {
    return await door.pictures();
  } catch (reason) {
    throw problemFrom(reason);
  }
}

/** Asks where a file of that name goes, lets the core write it there and hands it on; null where nobody said where. */
export async function writtenBy<T>(name: string, write: (path: string) => Promise<T>): Promise<T | null> {
  try {
    const path = await door.place(name);
    if (path === null) return null;
    const done = await write(path);
    await door.written(path, name);
    return done;
  } catch (reason) {
    throw problemFrom(reason);
  }
}

/** Lets a person choose a hand-over file; answers the path by which the core can read it, or null. */
export async function handed(): Promise<string | null> {
  try {
    return await door.handed();
  } catch (reason) {
    throw problemFrom(reason);
  }
}

/** Where the window finds a stored picture. */
export const photoAddress = (hash: string): string => door.photoAddress(hash);

/** Where the window finds a paper that was made for a job; nothing where it cannot show one. */
export const paperAddress = (job: string, file: string): string | null => door.paperAddress(`${job}/${file}`);

/** Hears what came from outside, once each. */
export const arrivals = (hear: (arrival: Arrival) => void): void => door.arrivals?.(hear);

/** What only a phone can do; undefined elsewhere. */
export const phone: Phone | undefined = door.phone;

/** Has the phone's own camera take a photo; answers the path by which the core can read it, none when nobody took one. */
export async function photograph(): Promise<string[]> {
  try {
    const path = await door.phone?.camera();
    return path ? [path] : [];
  } catch (reason) {
    throw problemFrom(reason);
  }
}

/** Lets a person choose which app gets a file; nothing happens where that is not how files are given. */
export async function share(path: string, kind: string): Promise<void> {
  try {
    await door.phone?.share(path, kind);
  } catch (reason) {
    throw problemFrom(reason);
  }
}
