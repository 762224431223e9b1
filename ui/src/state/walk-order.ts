// Which distance waits next on a walk round a room, and what is kept of it already.
import type { ReadingView, RoomView } from "../ipc/types.ts";

export interface Pair { from: string; to: string }

/**
 * The wall after `last` that has no reading yet, clockwise and round again; when all walls are read, the
 * distance the core asks for; failing that, for a room nothing checks, the first diagonal not yet taken.
 */
export function nextPair(room: RoomView, last: Pair | null): Pair | null {
  const { walls } = room;
  const start = last ? walls.findIndex((wall) => wall.from === last.from && wall.to === last.to) + 1 : 0;
  for (let i = 0; i < walls.length; i++) {
    const wall = walls[(start + i) % walls.length];
    if (wall && !wall.reading) return { from: wall.from, to: wall.to };
  }
  const [asked] = room.next;
  if (asked) return { from: asked.from, to: asked.to };
  return room.verdict === "loose" || room.verdict === "unsolvable" ? freeDiagonal(room) : null;
}

/** The reading that is kept of a distance, whichever end it is told from. */
export function readingOf(room: RoomView, pair: Pair): ReadingView | null {
  const wall = room.walls.find((one) => joins(one, pair.from, pair.to));
  return wall ? wall.reading : (room.ties.find((tie) => joins(tie, pair.from, pair.to)) ?? null);
}

/** Whether a length typed for a distance, `null` where it cannot be read, is none that the room's verdict speaks of. */
export function saysElse(room: RoomView, pair: Pair, mm: number | null): boolean {
  const kept = readingOf(room, pair);
  return kept ? kept.mm !== mm : room.verdict !== "unsolvable";
}

function freeDiagonal(room: RoomView): Pair | null {
  const n = room.corners.length;
  for (let i = 0; i < n; i++) {
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue;
      const from = room.corners[i]?.id, to = room.corners[j]?.id;
      if (from && to && !room.ties.some((tie) => joins(tie, from, to))) return { from, to };
    }
  }
  return null;
}

function joins(pair: Pair, a: string, b: string): boolean {
  return (pair.from === a && pair.to === b) || (pair.from === b && pair.to === a);
}
