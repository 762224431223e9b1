// A sketch of a room from the walls typed so far, for the time before the core can solve it. Walls not yet
// walked are guessed so that the sketch closes, and are drawn dashed: a sketch, never a measurement.
import type { CornerView, Point, WallView } from "../ipc/types.ts";

export interface Sketch { points: Point[]; guessed: boolean[] }

const fallback = 3000;
const shortest = 400;

export function sketchOf(corners: readonly CornerView[], walls: readonly WallView[]): Sketch {
  const ways = headings(corners, walls);
  const known = walls.map((wall) => wall.reading?.mm ?? null);
  const typed = known.filter((mm) => mm !== null);
  const usual = typed.length > 0 ? typed.reduce((sum, mm) => sum + mm, 0) / typed.length : fallback;
  const lengths = known.map((mm) => mm ?? usual);
  closeAlong(lengths, known, ways, 0);
  closeAlong(lengths, known, ways, 1);
  const points: Point[] = [];
  let x = 0, y = 0;
  lengths.forEach((length, i) => {
    points.push([x, y]);
    const way = ways[i] ?? [1, 0];
    x += way[0] * length;
    y += way[1] * length;
  });
  return { points, guessed: known.map((mm) => mm === null) };
}

/** Unit steps right, down, left or up: each inside corner turns clockwise, each outside corner back. */
function headings(corners: readonly CornerView[], walls: readonly WallView[]): Point[] {
  const steps: Point[] = [[1, 0], [0, 1], [-1, 0], [0, -1]];
  const turn = new Map(corners.map((corner) => [corner.id, corner.turn]));
  let heading = 0;
  return walls.map((wall) => {
    const step = steps[heading] ?? [1, 0];
    heading = (heading + (turn.get(wall.to) === "out" ? 3 : 1)) % 4;
    return step;
  });
}

/** Shares out along one axis what is missing for the sketch to close, over the walls not yet typed. */
function closeAlong(lengths: number[], known: readonly (number | null)[], ways: readonly Point[], axis: 0 | 1): void {
  const open = lengths.map((_, i) => i).filter((i) => known[i] === null && ways[i]?.[axis] !== 0);
  if (open.length === 0) return;
  const gap = lengths.reduce((sum, length, i) => sum + length * (ways[i]?.[axis] ?? 0), 0);
  for (const i of open) {
    const sign = ways[i]?.[axis] ?? 0;
    lengths[i] = Math.max(shortest, (lengths[i] ?? 0) - (gap * sign) / open.length);
  }
}
