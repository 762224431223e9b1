// A straightedge on the drawing: what of it a finger takes hold of, and where it lies then. Pure.
import type { Point } from "../ipc/types.ts";
import { toScreen, type Camera } from "./camera.ts";
import { fingerReach } from "./hit.ts";

export type Edge = readonly [Point, Point];
export type End = "first" | "second" | "middle";

/** An end that is held, or the middle with how far from it the finger took hold. */
export interface Grip {
  readonly end: End;
}

export function grips(edge: Edge): { end: End; at: Point }[] {
  const [a, b] = edge;
  return [
    { end: "first", at: a },
    { end: "middle", at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] },
    { end: "second", at: b },
  ];
}

/** What lies under a finger: the nearest within its reach, the ends before the middle. */
export function grabAt(edge: Edge, camera: Camera, x: number, y: number): Grip | null {
  let best: Grip | null = null;
  let least = fingerReach * 1.25;
  for (const { end, at } of grips(edge)) {
    const [px, py] = toScreen(camera, at[0], at[1]);
    const off = Math.hypot(px - x, py - y) * (end === "middle" ? 1.3 : 1);
    if (off < least) [best, least] = [{ end }, off];
  }
  return best;
}

/** The edge with what is held moved to a place; its other end stays, or all of it goes along. */
export function moved(edge: Edge, grip: Grip, to: Point): [Point, Point] {
  const [a, b] = edge;
  if (grip.end === "first") return [to, b];
  if (grip.end === "second") return [a, to];
  const [dx, dy] = [to[0] - (a[0] + b[0]) / 2, to[1] - (a[1] + b[1]) / 2];
  return [[a[0] + dx, a[1] + dy], [b[0] + dx, b[1] + dy]];
}

/** The edge turned about its middle, in degrees clockwise on the page. */
export function turned(edge: Edge, degrees: number): [Point, Point] {
  const [a, b] = edge;
  const [x, y] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [sin, cos] = [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
  const turn = (p: Point): Point => [x + (p[0] - x) * cos - (p[1] - y) * sin, y + (p[0] - x) * sin + (p[1] - y) * cos];
  return [turn(a), turn(b)];
}
