// A room just added is walked at once: the intention passes from the sheet that adds it to the room's.
let waiting: string | null = null;

export function walkAtOnce(room: string): void {
  waiting = room;
}

/** Whether this room is to be walked at once; true only once. */
export function takesWalk(room: string): boolean {
  const walks = waiting === room;
  if (walks) waiting = null;
  return walks;
}
