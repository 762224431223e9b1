// How far apart the lines of a hatch stand: the same on the drawing and in the key beside it.
import type { Hatch } from "./scene.ts";

/** Pixels between the lines from the highest band to the lowest; a map has no more bands than these. */
const levels = [26, 21, 16, 13, 10, 8, 6, 5] as const;
const narrow = 7;

/** Whether a hatch says how deep a band is, and whether it is one that is taken off. */
export function levelOf(hatch: Hatch): { spacing: number; off: boolean } | null {
  const [, kind, n] = /^(low|off)(\d)$/.exec(hatch) ?? [];
  return kind === undefined ? null : { spacing: levels[Number(n) - 1] ?? narrow, off: kind === "off" };
}

/** Pixels between the lines of a hatch. */
export function spacingOf(hatch: Hatch): number {
  return levelOf(hatch)?.spacing ?? (hatch === "waste" || hatch === "void" ? 12 : narrow);
}

/** The hatch of a band of a map: every depth its own, the denser the deeper. */
export function bandHatch(depth: number, deepest: number, off: boolean): Hatch | null {
  if (depth === 0) return null;
  const last = levels.length - 1;
  const level = deepest > 1 ? Math.round(((Math.min(depth, deepest) - 1) * last) / (deepest - 1)) : Math.floor(last / 2);
  return `${off ? "off" : "low"}${level + 1}` as Hatch;
}
