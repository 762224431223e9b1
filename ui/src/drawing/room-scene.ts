// A room as a working drawing: walls, dimension lines, ties, openings, what stands in it, what to measure next.
import type { KeepoutView, Point, ReadingView, RoomView } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOfPoints, outsideOf, padded } from "./rings.ts";
import { ringOf, type Dim, type Note, type Scene, type Stratum, type Target } from "./scene.ts";
import { sketchOf } from "./walk.ts";

/** The measured distance a keypad is open for: drawn as the waiting dimension. */
export interface Waiting { from: string; to: string; text: string }

/** How a corner is called on the drawing: its own short name, or a letter by its place in the walk. */
export function cornerNames(room: RoomView): Map<string, string> {
  const short = room.corners.every((corner) => corner.id.length <= 3);
  return new Map(room.corners.map((corner, i) => [corner.id, short ? corner.id : letter(i)]));
}

function letter(i: number): string {
  const last = String.fromCharCode(65 + (i % 26));
  return i < 26 ? last : `${String.fromCharCode(64 + Math.floor(i / 26))}${last}`;
}

export const wallId = (from: string, to: string): string => `wall ${from} ${to}`;
export const tieId = (id: string): string => `tie ${id}`;

interface Place { at: Map<string, Point>; points: Point[]; sketched: boolean[] | null; names: Map<string, string> }

/** Where the corners are: as solved, or as sketched from what has been typed. */
function placeOf(room: RoomView): Place {
  const names = cornerNames(room);
  const solved = room.corners.map((corner, i) => corner.at ?? room.outline?.[i] ?? null);
  if (solved.length > 0 && solved.every((point) => point !== null)) {
    return { at: new Map(room.corners.map((corner, i) => [corner.id, solved[i] ?? [0, 0]])), points: solved, sketched: null, names };
  }
  const { points, guessed } = sketchOf(room.corners, room.walls);
  return { at: new Map(room.corners.map((corner, i) => [corner.id, points[i] ?? [0, 0]])), points, sketched: guessed, names };
}

export function roomScene(room: RoomView, waiting: Waiting | null, selected: string | null = null): Scene {
  const place = placeOf(room);
  const box = boxOfPoints(place.points);
  const size = Math.max(box.x1 - box.x0, box.y1 - box.y0);
  return {
    box: padded(box, size * 0.02),
    strata: [...wallStrata(room, place), ...openingStrata(room), ...keepoutStrata(room), ...markStrata(room, size)],
    dims: [...wallDims(room, place, waiting), ...tieDims(room, place, waiting), ...nextDims(room, place, waiting), ...legDims(room, selected)],
    notes: [...cornerNotes(place), ...keepoutNotes(room, size), ...offsetNotes(room)],
    targets: targetsOf(room, place),
    told: toldOf(room, place.names),
  };
}

function wallStrata(room: RoomView, { points, sketched }: Place): Stratum[] {
  const shape = room.shape && !sketched ? { outer: room.shape, holes: [] } : ringOf(points);
  const floor: Stratum = { rings: [shape], fill: sketched ? "paper" : "tint" };
  const field: Stratum = { rings: room.field ?? [], stroke: "line", width: 1, dash: [7, 4] };
  if (!sketched) return [floor, field, { rings: [shape], stroke: "ink", width: 3.5 }];
  const side = (i: number): number[] => [...(points[i] ?? [0, 0]), ...(points[(i + 1) % points.length] ?? [0, 0])];
  const lines = (guessed: boolean) =>
    points.flatMap((_, i) => (sketched[i] === guessed ? [{ outer: side(i), holes: [] }] : []));
  return [
    floor,
    { rings: lines(true), stroke: "soft", width: 1.5, dash: [8, 6], open: true },
    { rings: lines(false), stroke: "ink", width: 3.5, open: true },
  ];
}

function openingStrata(room: RoomView): Stratum[] {
  const lines = room.openings.flatMap((opening) => (opening.line ? [{ outer: opening.line.flat(), holes: [] }] : []));
  return [
    { rings: lines, stroke: "paper", width: 7, open: true },
    { rings: lines, stroke: "ink", width: 1.25, dash: [3, 3], open: true },
  ];
}

function keepoutStrata(room: RoomView): Stratum[] {
  const rings = room.keepouts.filter((keepout) => keepout.outline.length > 2).map((keepout) => ringOf(keepout.outline));
  return [{ rings, fill: "paper", hatch: "void", stroke: "ink", width: 1.75 }];
}

/** Ticks where a wall was read from its string, and crosses where a thing is a point. */
function markStrata(room: RoomView, size: number): Stratum[] {
  const half = size * 0.012;
  const ticks = room.offsets.flatMap(({ line, from, to }) => {
    const [a, b] = [room.corners, room.corners].map((all, i) => all.find((one) => one.id === (i ? to : from))?.at);
    if (!line || !a || !b) return [];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const [x, y] = [((a[1] - b[1]) / long) * half, ((b[0] - a[0]) / long) * half];
    return [{ outer: [line[1][0] - x, line[1][1] - y, line[1][0] + x, line[1][1] + y], holes: [] }];
  });
  const crosses = room.keepouts.flatMap(({ located, outline }) => {
    if (!located?.at || outline.length > 2) return [];
    const [x, y] = located.at;
    return [[-half, -half, half, half], [-half, half, half, -half]].map(([ax = 0, ay = 0, bx = 0, by = 0]) => ({ outer: [x + ax, y + ay, x + bx, y + by], holes: [] }));
  });
  return [{ rings: [...ticks, ...crosses], stroke: "ink", width: 2, open: true }];
}

function keepoutNotes(room: RoomView, size: number): Note[] {
  return room.keepouts.flatMap((keepout): Note[] => {
    const ink = { text: keepout.name, ink: "ink", size: 14, bold: true } as const;
    const box = keepout.outline.length > 2 ? boxOfPoints(keepout.outline) : null;
    const small = !box || box.x1 - box.x0 < size * 0.12;
    if (small && keepout.located?.at) return [{ ...ink, ...beyond(keepout, keepout.located.at) }];
    if (!box) return [];
    return [{ ...ink, at: [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2], ground: "paper", room: { mm: box.x1 - box.x0, atLeast: 8 * keepout.name.length } }];
  });
}

/** The place of a small thing's name: on the side that its measured lines do not come from. */
function beyond({ located, outline }: KeepoutView, at: Point): Pick<Note, "at" | "shift" | "ground"> {
  const legs = located?.legs ?? [];
  const [x, y] = legs.reduce<Point>(([sx, sy], { line }) => [sx + line[1][0] - line[0][0], sy + line[1][1] - line[0][1]], [0, 0]);
  const long = Math.hypot(x, y);
  // Names are wider than high, so they stand above or below.
  const down = long === 0 || y >= 0 ? 1 : -1;
  const box = outline.length > 2 ? boxOfPoints(outline) : { x0: at[0], x1: at[0], y0: at[1], y1: at[1] };
  return { at: [(box.x0 + box.x1) / 2, down > 0 ? box.y1 : box.y0], ground: "tint", shift: [0, 14 * down] };
}

/** How far a wall stands off its string, inside the room where its dimension line does not run. */
function offsetNotes(room: RoomView): Note[] {
  return room.offsets.flatMap(({ line, from, to, offset, out }): Note[] => {
    const a = room.corners.find((one) => one.id === from)?.at, b = room.corners.find((one) => one.id === to)?.at;
    if (!line || !a || !b) return [];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const text = words.room.offsetMark(offset.text, out);
    // Letters of 13 px are about half as wide: beside an upright wall the whole figure stands clear of it.
    const [x, y] = [(a[1] - b[1]) / long, (b[0] - a[0]) / long];
    return [{ at: line[1], text, ink: "soft", size: 13, ground: "tint", shift: [x * (12 + 3.4 * text.length), y * 18] }];
  });
}

/** What was measured to a located thing: of the one that is picked, or of all while they are few. */
function legDims(room: RoomView, selected: string | null): Dim[] {
  const located = room.keepouts.filter((keepout) => keepout.located);
  const shown = located.filter((keepout) => located.length <= 2 || selected === `keepout ${keepout.id}`);
  return shown.flatMap(({ located }) =>
    (located?.legs ?? []).flatMap(({ line, text }): Dim[] =>
      Math.hypot(line[1][0] - line[0][0], line[1][1] - line[0][1]) < 1 ? [] : [{ a: line[0], b: line[1], away: 0, text, ink: "soft", ground: "tint", ...(located?.gap_text ? { flag: true } : {}) }],
    ),
  );
}

const isWaiting = (waiting: Waiting | null, from: string, to: string): boolean =>
  waiting !== null && ((waiting.from === from && waiting.to === to) || (waiting.from === to && waiting.to === from));

function wallDims(room: RoomView, { at, sketched }: Place, waiting: Waiting | null): Dim[] {
  return room.walls.flatMap((wall): Dim[] => {
    const a = at.get(wall.from), b = at.get(wall.to);
    if (!a || !b) return [];
    const line = { a, b, away: 30 };
    if (isWaiting(waiting, wall.from, wall.to)) return [{ ...line, text: waiting?.text || "?", ink: "accent", bold: true, waiting: !waiting?.text }];
    if (wall.reading) return [readingDim(line, wall.reading)];
    // A room drawn by its coordinates waits for no reading.
    if (room.verdict === "given" && !wall.adjusted_text) return [];
    return [{ ...line, text: sketched ? "?" : (wall.adjusted_text ?? "?"), ink: "soft", waiting: true }];
  });
}

function readingDim(line: { a: Point; b: Point; away: number }, reading: ReadingView): Dim {
  return { ...line, text: reading.text, ink: reading.suspect ? "accent" : "ink", bold: reading.suspect, flag: reading.suspect || reading.conflict.length > 0 };
}

function tieDims(room: RoomView, { at, sketched }: Place, waiting: Waiting | null): Dim[] {
  return room.ties.flatMap((tie): Dim[] => {
    const a = at.get(tie.from), b = at.get(tie.to);
    if (!a || !b || isWaiting(waiting, tie.from, tie.to)) return [];
    return [{ ...readingDim({ a, b, away: 0 }, tie), ...(tie.suspect ? {} : { ink: "soft" as const }), ground: sketched ? "paper" : "tint" }];
  });
}

function nextDims(room: RoomView, { at, sketched }: Place, waiting: Waiting | null): Dim[] {
  const asked = waiting && !room.walls.some((wall) => isWaiting(waiting, wall.from, wall.to));
  const pair = asked ? waiting : waiting ? null : room.next[0];
  const a = pair && at.get(pair.from), b = pair && at.get(pair.to);
  if (!a || !b) return [];
  return [{ a, b, away: 0, text: waiting?.text || (asked ? "?" : words.room.nextMark), ink: "accent", waiting: !waiting?.text, bold: true, ground: sketched ? "paper" : "tint" }];
}

function cornerNotes({ points, names }: Place): Note[] {
  return [...names.values()].map((name, i) => {
    const at = points[i] ?? [0, 0];
    const out = outsideOf(points, i, 1);
    return { at, text: name, ink: "ink", size: 13, ringed: true, shift: [(out[0] - at[0]) * 17, (out[1] - at[1]) * 17] };
  });
}

function targetsOf(room: RoomView, { at, names }: Place): Target[] {
  const called = (from: string, to: string): string => `${names.get(from) ?? from}–${names.get(to) ?? to}`;
  const segment = (from: string, to: string): [Point, Point] => [at.get(from) ?? [0, 0], at.get(to) ?? [0, 0]];
  return [
    ...room.walls.map((wall): Target => ({
      id: wallId(wall.from, wall.to),
      name: words.room.wallRead(called(wall.from, wall.to), wall.reading?.text ?? null),
      segment: segment(wall.from, wall.to),
    })),
    ...room.ties.map((tie): Target => ({
      id: tieId(tie.id),
      name: words.room.tieRead(called(tie.from, tie.to), tie.text),
      segment: segment(tie.from, tie.to),
    })),
    ...room.openings.flatMap((opening): Target[] =>
      opening.line ? [{ id: `opening ${opening.id}`, name: words.room.openingIn(called(opening.from, opening.to), opening.width.text), segment: opening.line }] : [],
    ),
    ...room.keepouts.flatMap((keepout): Target[] => {
      const target = { id: `keepout ${keepout.id}`, name: keepout.name };
      if (keepout.outline.length > 2) return [{ ...target, ring: keepout.outline.flat() }];
      return keepout.located?.at ? [{ ...target, at: keepout.located.at }] : [];
    }),
  ];
}

function toldOf(room: RoomView, names: Map<string, string>): string {
  const walls = room.walls
    .map((wall) => words.room.wallRead(`${names.get(wall.from)}–${names.get(wall.to)}`, wall.reading?.text ?? null))
    .join("; ");
  return `${words.room.told(room.corners.length, room.verdict_words)} ${walls}.`;
}

/** A room small enough for a list: its outline alone. */
export function outlineScene(outline: readonly Point[] | null, name: string): Scene {
  const points: readonly Point[] = outline ?? [[0, 0], [3000, 0], [3000, 2400], [0, 2400]];
  const ring = [ringOf(points)];
  return {
    box: boxOfPoints(points),
    strata: outline
      ? [{ rings: ring, fill: "tint", stroke: "ink", width: 2.25 }]
      : [{ rings: ring, stroke: "soft", width: 1.5, dash: [5, 5] }],
    dims: [],
    notes: [],
    targets: [],
    told: outline ? words.job.outlineOf(name) : words.job.noOutlineOf(name),
  };
}
