// A floor as a working drawing: spot heights, lines of equal height, hatches that grow denser with depth, the worst
// places with the straightedge laid over them; or the correction: what is put on and taken off.
import type { FloorMapView, FloorView, Point, WorstView } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { bandHatch } from "./hatch.ts";
import { distanceToSegment } from "./hit.ts";
import { boxOfPoints, padded } from "./rings.ts";
import { ringOf, type Hatch, type Note, type Scene, type Stratum, type Target } from "./scene.ts";

/** A figure nearer to a wall than this would cut its line, mm. */
const nearWall = 170;

export type FloorSheetKind = "heights" | "work";

export const pointId = (id: string): string => `point ${id}`;
export const stationId = (id: string): string => `station ${id}`;
export const worstId = (tolerance: number, kind: string): string => `worst ${tolerance} ${kind}`;

/** The hatch of a band: how deep it is among all that are put on, or among all that are taken off. */
export function hatchOf(band: FloorMapView["bands"][number], map: FloorMapView): Hatch | null {
  const deepest = Math.max(0, ...map.bands.filter((one) => one.off === band.off).map((one) => one.depth));
  return bandHatch(band.depth, deepest, band.off);
}

export interface FloorSights {
  kind: FloorSheetKind;
  /** The worst place that is shown, with its straightedge. */
  worst: WorstView | null;
  /** The place that is read now. */
  reading: string | null;
}

export function floorScene(floor: FloorView, sights: FloorSights): Scene {
  const points: Point[] = floor.outline ?? floor.points.map((point) => point.at);
  const box = boxOfPoints(points.length > 0 ? points : [[0, 0], [3000, 2400]]);
  const size = Math.max(box.x1 - box.x0, box.y1 - box.y0);
  const map = sights.kind === "work" ? (floor.correction?.map ?? null) : floor.map;
  return {
    box: padded(box, size * 0.02),
    strata: [
      ...groundStrata(floor),
      ...mapStrata(map),
      { rings: floor.keepouts.map((ring) => ringOf(ring)), fill: "paper", hatch: "void", stroke: "ink", width: 1.75 },
      ...(floor.outline ? [{ rings: [ringOf(floor.outline)], stroke: "ink", width: 3.5 } as Stratum] : []),
      ...stationStrata(floor, size),
      ...gapStrata(floor),
      ...(sights.kind === "work" ? damStrata(floor) : sights.worst ? edgeStrata(sights.worst, size) : []),
    ],
    dims: [],
    notes: sights.kind === "work" ? workNotes(floor) : heightNotes(floor, sights.worst),
    targets: targetsOf(floor),
    told: words.floor.told(floor.name, floor.verdict_words, floor.read_words),
  };
}

/** The floor as far as it was read; what lies between the outermost readings and the walls is dotted. */
function groundStrata(floor: FloorView): Stratum[] {
  if (!floor.outline) return [];
  const rings = [ringOf(floor.outline)];
  if (!floor.map) return [{ rings, fill: "tint" }];
  const read = floor.map.bands.flatMap((band) => band.rings);
  // Bands meet without a seam: each is drawn with an edge of its own ground.
  return [{ rings, fill: "paper", hatch: "dots" }, { rings: read, fill: "tint", stroke: "tint", width: 1 }];
}

function mapStrata(map: FloorMapView | null): Stratum[] {
  if (!map) return [];
  const areas = map.bands.flatMap((band): Stratum[] => {
    const hatch = hatchOf(band, map);
    return hatch ? [{ rings: band.rings, hatch }] : [];
  });
  const chains = map.contours.flatMap((contour) => contour.chains.map((chain) => ({ outer: chain, holes: [] })));
  return [...areas, { rings: chains, stroke: "ink", width: 1.5, open: true }];
}

/** What is read stands before what only follows from it. */
function heightNotes(floor: FloorView, worst: WorstView | null): Note[] {
  const read = [...worstNotes(worst), ...pointNotes(floor)];
  return readable([...read, ...contourNotes(floor, read)]);
}

/** The figure of each line stands once, on its longest part, where it is clear of the others at the smallest scale. */
function contourNotes(floor: FloorView, read: readonly Note[]): Note[] {
  const taken = [...read];
  const walls = [floor.outline ?? [], ...floor.keepouts];
  for (const contour of floor.map?.contours ?? []) {
    const longest = contour.chains.reduce<number[]>((best, chain) => (chain.length > best.length ? chain : best), []);
    const places = placesAlong(longest);
    const free = places.filter((at) => !walls.some((ring) => beside(ring, at)));
    const notes = (free.length > 0 ? free : places).map((at): Note => ({ at, text: contour.text.replace('"', ""), ink: "soft", size: 12, ground: "tint", room: { mm: 600, atLeast: 56 } }));
    const needs = notes.map((note) => scaleAmong(note, taken));
    const best = notes[needs.indexOf(Math.min(...needs))];
    if (best) taken.push(best);
  }
  return taken.slice(read.length);
}

/** The corners of a line and the middles between them, from its own middle outward. */
function placesAlong(chain: readonly number[]): Point[] {
  const corners = Array.from({ length: Math.floor(chain.length / 2) }, (_, i): Point => [chain[2 * i] ?? 0, chain[2 * i + 1] ?? 0]);
  const places = corners.flatMap((corner, i): Point[] => {
    const next = corners[i + 1];
    return next ? [corner, [(corner[0] + next[0]) / 2, (corner[1] + next[1]) / 2]] : [corner];
  });
  const middle = (places.length - 1) / 2;
  return places.map((at, i) => ({ at, away: Math.abs(i - middle) })).sort((a, b) => a.away - b.away).map(({ at }) => at);
}

function pointNotes(floor: FloorView): Note[] {
  const again = new Set(floor.again);
  return floor.points.map((point): Note => ({
    at: point.at,
    text: point.text,
    ink: again.has(point.id) || point.z === null ? "accent" : "ink",
    size: 14,
    bold: true,
    ground: "tint",
    shift: offWalls(floor, point.at),
  }));
}

/** Two figures that run into each other read as a third: the later one shows only where the plan is large enough for both. */
export function readable(notes: readonly Note[]): Note[] {
  return notes.map((note, i) => {
    const own = note.room ? note.room.atLeast / note.room.mm : 0;
    const least = Math.max(own, scaleAmong(note, notes.slice(0, i)));
    return least > 0 ? { ...note, room: { mm: 1, atLeast: least } } : note;
  });
}

/** Pixels for a millimetre from which on a figure stands clear of all that are there already. */
function scaleAmong(note: Note, others: readonly Note[]): number {
  return Math.max(0, ...others.map((other) => scaleForBoth(note, other)));
}

/** Pixels for a millimetre from which on two figures stand clear of each other. */
function scaleForBoth(one: Note, other: Note): number {
  const [[x, y], [right, down]] = [one.shift ?? [0, 0], other.shift ?? [0, 0]];
  const wide = (one.text.length * one.size + other.text.length * other.size) * 0.27 + 3;
  const across = scaleApart(one.at[0] - other.at[0], x - right, wide);
  return Math.min(across, scaleApart(one.at[1] - other.at[1], y - down, Math.max(one.size, other.size)));
}

/** The scale from which on two places that are `mm` and beside that `pixels` apart have `need` pixels between them. */
function scaleApart(mm: number, pixels: number, need: number): number {
  if (mm === 0) return Math.abs(pixels) >= need ? 0 : Infinity;
  return Math.max(0, (need - Math.sign(mm) * pixels) / Math.abs(mm));
}

/** Whether a figure at a place would run into one of a ring's lines. */
function beside(ring: readonly Point[], [x, y]: Point): boolean {
  return ring.some((a, i) => distanceToSegment(x, y, a, ring[(i + 1) % ring.length] ?? a) <= nearWall);
}

/** Figures beside a wall stand a little into the room, so that they do not cut its line. */
function offWalls(floor: FloorView, [x, y]: Point): Point {
  const ring = floor.outline ?? [];
  let shift: Point = [0, 0];
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length] ?? a;
    if (distanceToSegment(x, y, a, b) > nearWall) return;
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    // Walls run clockwise on the page: the room lies to their right. Figures are wider than high.
    const [nx, ny] = [-(b[1] - a[1]) / long, (b[0] - a[0]) / long];
    shift = [shift[0] + nx * 13, shift[1] + ny * 7];
  });
  return shift;
}

/** Crosses where the rod still has to stand. */
function stationStrata(floor: FloorView, size: number): Stratum[] {
  const half = size * 0.009;
  const cross = ([x, y]: Point): number[][] => [[x - half, y, x + half, y], [x, y - half, x, y + half]];
  return [{ rings: floor.stations.flatMap((station) => cross(station.at).map((outer) => ({ outer, holes: [] }))), stroke: "soft", width: 2, open: true }];
}

function gapStrata(floor: FloorView): Stratum[] {
  return [{ rings: floor.straightedges.map((gap) => ({ outer: gap.line.flat(), holes: [] })), stroke: "ink", width: 2.5, dash: [10, 4], open: true }];
}

/** The straightedge as it would lie: a rail with both ends square. */
function edgeStrata(worst: WorstView, size: number): Stratum[] {
  const [a, b] = worst.line;
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (long < 1) return [];
  const half = size * 0.008;
  const [nx, ny] = [(-(b[1] - a[1]) / long) * half, ((b[0] - a[0]) / long) * half];
  const rail = [a[0] + nx, a[1] + ny, b[0] + nx, b[1] + ny, b[0] - nx, b[1] - ny, a[0] - nx, a[1] - ny];
  return [{ rings: [{ outer: rail, holes: [] }], fill: "paper", stroke: "accent", width: 2.25 }];
}

function worstNotes(worst: WorstView | null): Note[] {
  return worst ? [{ at: worst.at, text: `${worst.kind === "dip" ? "▼" : "▲"} ${worst.text}`, ink: "accent", size: 17, bold: true, ground: "paper", shift: [0, -20] }] : [];
}

function damStrata(floor: FloorView): Stratum[] {
  const lines = floor.correction?.patches.flatMap((patch) => patch.dams.map((dam) => ({ outer: middleLine(dam), holes: [] }))) ?? [];
  return [{ rings: lines, stroke: "accent", width: 3, dash: [6, 4], open: true }];
}

/** A dam stands across the way from the reading within to the one beyond, half way. */
function middleLine([a, b]: readonly [Point, Point]): number[] {
  const [x, y] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [dx, dy] = [(b[0] - a[0]) / 2, (b[1] - a[1]) / 2];
  return [x - dy, y + dx, x + dy, y - dx];
}

function workNotes(floor: FloorView): Note[] {
  const changes = floor.correction?.changes ?? [];
  const patches = floor.correction?.patches ?? [];
  return [
    ...readable(changes.map((change): Note => ({ at: change.at, text: change.text, ink: "ink", size: 14, bold: true, ground: "tint", shift: offWalls(floor, change.at) }))),
    ...patches.map((patch): Note => ({ at: patch.at, text: patch.letter, ink: "accent", size: 15, ringed: true, shift: [0, -24] })),
  ];
}

function targetsOf(floor: FloorView): Target[] {
  return [
    ...floor.points.map((point): Target => ({ id: pointId(point.id), name: words.floor.pointTold(point.label, point.words), at: point.at })),
    ...floor.stations.map((station): Target => ({ id: stationId(station.id), name: words.floor.stationTold(station.words), at: station.at })),
  ];
}

/** The floor under a straightedge, its heights drawn many times larger than they are. */
export function profileScene(profile: readonly Point[], rests: readonly [Point, Point], gapAt: number, gapText: string, told: string): Scene {
  const long = Math.max(1, profile[profile.length - 1]?.[0] ?? 1);
  const heights = [...profile, ...rests].map(([, z]) => z);
  const top = Math.max(...heights), low = Math.min(...heights);
  const scale = (long * 0.14) / Math.max(top - low, 2);
  const at = ([x, z]: Point): Point => [x, (top - z) * scale];
  const floor = profile.map(at);
  const deep = (top - low) * scale + long * 0.05;
  const [a, b] = [at(rests[0]), at(rests[1])];
  const edge = (x: number): number => a[1] + ((b[1] - a[1]) * (x - a[0])) / Math.max(b[0] - a[0], 1);
  const rail = long * 0.018;
  const under = floor.find(([x]) => Math.abs(x - gapAt) < 1);
  const gap = under && under[1] - edge(gapAt) > 0.5;
  return {
    box: { x0: 0, y0: Math.min(edge(0), edge(long), 0) - rail, x1: long, y1: deep },
    strata: [
      { rings: [ringOf([...floor, [long, deep], [0, deep]])], fill: "wash", stroke: "ink", width: 1.5 },
      { rings: [ringOf([[0, edge(0)], [long, edge(long)], [long, edge(long) - rail], [0, edge(0) - rail]])], fill: "paper", stroke: "accent", width: 2 },
    ],
    dims: gap && under ? [{ a: [gapAt, edge(gapAt)], b: under, away: 0, text: "", ink: "accent", bold: true }] : [],
    notes: gap && under ? [{ at: [gapAt, (edge(gapAt) + under[1]) / 2], text: gapText, ink: "accent", size: 17, bold: true, ground: "paper", shift: [gapAt > long / 2 ? -40 : 40, 0] }] : [],
    targets: [],
    told,
  };
}
