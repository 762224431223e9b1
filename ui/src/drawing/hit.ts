// What lies under a finger, and what lies next to it in the direction of an arrow key.
import type { Point } from "../ipc/types.ts";
import { centreOf, type Target } from "./scene.ts";

/** Half a finger: points and lines are caught within this many pixels. */
export const fingerReach = 24;

/** The target at a plan point: nearest point or line within reach first, then the last area that holds it. */
export function targetAt(targets: readonly Target[], x: number, y: number, reach: number): Target | null {
  let best: Target | null = null;
  let bestDistance = reach;
  for (const target of targets) {
    const distance = target.at
      ? Math.hypot(target.at[0] - x, target.at[1] - y) * 0.8
      : target.segment
        ? distanceToSegment(x, y, target.segment[0], target.segment[1])
        : Infinity;
    if (distance < bestDistance) {
      best = target;
      bestDistance = distance;
    }
  }
  return best ?? areaAt(targets, x, y);
}

function areaAt(targets: readonly Target[], x: number, y: number): Target | null {
  for (let i = targets.length - 1; i >= 0; i--) {
    const target = targets[i];
    if (!target?.ring || !inRing(target.ring, x, y)) continue;
    if (!(target.holes ?? []).some((hole) => inRing(hole, x, y))) return target;
  }
  return null;
}

export function inRing(ring: readonly number[], x: number, y: number): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    const xi = ring[i] ?? 0, yi = ring[i + 1] ?? 0, xj = ring[j] ?? 0, yj = ring[j + 1] ?? 0;
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

export function distanceToSegment(x: number, y: number, a: Point, b: Point): number {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  const long = dx * dx + dy * dy;
  const t = long === 0 ? 0 : Math.min(1, Math.max(0, ((x - a[0]) * dx + (y - a[1]) * dy) / long));
  return Math.hypot(x - a[0] - t * dx, y - a[1] - t * dy);
}

const directions: Record<string, Point> = {
  ArrowRight: [1, 0],
  ArrowLeft: [-1, 0],
  ArrowDown: [0, 1],
  ArrowUp: [0, -1],
};

/** The neighbour of `from` in an arrow key's direction; the first target when nothing is selected. */
export function neighbour(targets: readonly Target[], from: string | null, key: string): Target | null {
  const start = targets.find((target) => target.id === from);
  if (!start) return targets[0] ?? null;
  const way = directions[key];
  if (!way) return null;
  const [x, y] = centreOf(start);
  let best: Target | null = null;
  let bestCost = Infinity;
  for (const target of targets) {
    if (target.id === start.id) continue;
    const [tx, ty] = centreOf(target);
    const ahead = (tx - x) * way[0] + (ty - y) * way[1];
    const aside = Math.abs((tx - x) * way[1] - (ty - y) * way[0]);
    if (ahead <= 1e-6 || aside > ahead * 3) continue;
    const cost = ahead + aside * 2;
    if (cost < bestCost) {
      best = target;
      bestCost = cost;
    }
  }
  return best;
}
