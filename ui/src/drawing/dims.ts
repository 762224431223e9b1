// Where each dimension line and its figure stand on the screen, so that figures do not cover one another.
// Each takes the first of a few places that is free, the most important first; nothing else is moved.
import type { Point } from "../ipc/types.ts";
import { toScreen, type Camera } from "./camera.ts";
import { distanceToSegment } from "./hit.ts";
import type { Dim } from "./scene.ts";

/** Text of a given size in pixels, measured. */
export type Measure = (text: string, size: number, heavy: boolean) => number;

export interface LaidDim {
  readonly dim: Dim;
  readonly text: string;
  readonly size: number;
  readonly width: number;
  /** The ends of the dimension line, and the points it measures. */
  readonly a: Point;
  readonly b: Point;
  readonly from: Point;
  readonly to: Point;
  /** The figure's middle and its turn in radians. */
  readonly at: Point;
  readonly turn: number;
  /** The part of the line that is left open for its own figure, as parts of its length; none where it stands beside. */
  readonly gap: readonly [number, number] | null;
}

/** Pixels of figures and walls under a tie's figure beyond which it is left out. */
const crowded = 9;

/** A disc that is taken: figures are treated as a string of them. */
interface Disc { x: number; y: number; r: number }

/** A line that a figure should keep clear of, and how much it matters. */
interface Line { dim: Dim; a: Point; b: Point; weight: number }

/** How far from the wall a line may be moved when its first place is taken, as factors. */
const lanes = [1, 1.85, -0.9];
/** Places of a figure along its line, as parts of the line's length. */
const stations = [0.5, 0.36, 0.64, 0.24, 0.76, 0.16, 0.84];

/** A place of a figure: where along the line, and whether lifted clear of it. */
interface Spot { t: number; lifted: boolean }

export function layDims(dims: readonly Dim[], camera: Camera, figure: number, measure: Measure, taken: readonly Point[] = []): LaidDim[] {
  const discs: Disc[] = taken.map(([x, y]) => ({ x, y, r: 13 }));
  const lines = linesOf(dims, camera);
  const inOrder = [...dims].sort((p, q) => weight(q) - weight(p));
  const laid = new Map<Dim, LaidDim>();
  for (const dim of inOrder) {
    const place = bestPlace(dim, camera, figure, measure, { discs, lines });
    if (!place) continue;
    laid.set(dim, place);
    discs.push(...discsOf(place));
  }
  return dims.flatMap((dim) => laid.get(dim) ?? []);
}

const weight = (dim: Dim): number => (dim.ink === "accent" ? 2 : 0) + (dim.away === 0 ? 0 : 1);

/** Walls and ties as drawn: a figure may lie over a tie if it must, over a wall never willingly. */
function linesOf(dims: readonly Dim[], camera: Camera): Line[] {
  return dims.map((dim) => ({ dim, a: toScreen(camera, ...dim.a), b: toScreen(camera, ...dim.b), weight: dim.away === 0 ? 0.35 : 1.2 }));
}

interface Taken { discs: readonly Disc[]; lines: readonly Line[] }

function bestPlace(dim: Dim, camera: Camera, figure: number, measure: Measure, taken: Taken): LaidDim | null {
  let best: LaidDim | null = null;
  let least = Infinity;
  let over = 0;
  for (const candidate of candidates(dim, camera, figure, measure)) {
    const under = discsOf(candidate.laid).reduce((sum, disc) => sum + overlap(disc, taken.discs) + crossed(disc, dim, taken.lines), 0);
    const cost = candidate.cost + under;
    if (cost < least) {
      best = candidate.laid;
      least = cost;
      over = under;
    }
    if (least === 0) break;
  }
  // In a room too narrow for it a tie keeps its line; its figure stands in the list, where it can be read.
  return best && dim.away === 0 && dim.ink === "soft" && over > crowded ? { ...best, text: "", width: 0, gap: null } : best;
}

function* candidates(dim: Dim, camera: Camera, figure: number, measure: Measure): Generator<{ laid: LaidDim; cost: number }> {
  const from = toScreen(camera, ...dim.a), to = toScreen(camera, ...dim.b);
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (long < 2) return;
  const heavy = dim.bold === true || dim.grand === true;
  const size = figure * (dim.grand ? 1.75 : dim.bold ? 1.1 : 1);
  const text = dim.flag ? `▲ ${dim.text}` : dim.text;
  const width = measure(text, size, heavy);
  const ux = (to[0] - from[0]) / long, uy = (to[1] - from[1]) / long;
  const open = (width / 2 + 5) / long;
  for (const [cost, lane] of (dim.away === 0 ? [1] : lanes).entries()) {
    const away = dim.away * lane;
    const a: Point = [from[0] + uy * away, from[1] - ux * away], b: Point = [to[0] + uy * away, to[1] - ux * away];
    for (const [late, { t, lifted }] of spotsAlong(dim, long, width).entries()) {
      const lift = lifted ? Math.sign(away) * size * 0.82 : 0;
      const at: Point = [a[0] + ux * long * t + uy * lift, a[1] + uy * long * t - ux * lift];
      const gap = lifted ? null : ([t - open, t + open] as const);
      yield { laid: { dim, text, size, width, a, b, from, to, at, turn: readable(Math.atan2(uy, ux)), gap }, cost: cost * 3 + late };
    }
  }
}

/** In the line where it fits; over it, or beside an end, where it does not; a diagonal's figure may slide along it. */
function spotsAlong(dim: Dim, long: number, width: number): readonly Spot[] {
  if (dim.away === 0) return stations.map((t) => ({ t, lifted: false }));
  const over: Spot = { t: 0.5, lifted: true };
  if (width + 8 < long) return [{ t: 0.5, lifted: false }, over];
  const beyond = (width / 2 + 12) / long;
  return [over, { t: 1 + beyond, lifted: false }, { t: -beyond, lifted: false }];
}

/** Turned so that it reads from below or from the right. */
function readable(angle: number): number {
  const turned = angle > Math.PI / 2 + 0.01 || angle <= -Math.PI / 2 - 0.01 ? angle + Math.PI : angle;
  return Math.abs(turned - Math.PI / 2) < 0.02 ? -Math.PI / 2 : turned;
}

function discsOf({ at, turn, width, size }: LaidDim): Disc[] {
  const r = size * 0.62;
  const n = Math.max(1, Math.ceil(width / (r * 1.6)));
  return Array.from({ length: n }, (_, i) => {
    const s = n === 1 ? 0 : (i / (n - 1) - 0.5) * Math.max(width - 2 * r, 0);
    return { x: at[0] + Math.cos(turn) * s, y: at[1] + Math.sin(turn) * s, r };
  });
}

function overlap(disc: Disc, others: readonly Disc[]): number {
  let sum = 0;
  for (const other of others) sum += Math.max(0, disc.r + other.r - Math.hypot(disc.x - other.x, disc.y - other.y));
  return sum;
}

/** How far a figure's disc reaches over lines other than its own. */
function crossed(disc: Disc, own: Dim, lines: readonly Line[]): number {
  let sum = 0;
  for (const { dim, a, b, weight } of lines) {
    if (dim !== own) sum += weight * Math.max(0, disc.r - distanceToSegment(disc.x, disc.y, a, b));
  }
  return sum;
}
