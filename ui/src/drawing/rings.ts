// Small helpers for points and rings on the page: drawing only, no measuring.
import type { Point } from "../ipc/types.ts";
import { boxOf, noBox, type Box } from "./camera.ts";

export function boxOfPoints(points: readonly Point[]): Box {
  return boxOf(points.map(([x, y]) => [x, y])) ?? noBox;
}

/** A box with some paper round it, so that dimension lines have a place. */
export function padded(box: Box, by: number): Box {
  return { x0: box.x0 - by, y0: box.y0 - by, x1: box.x1 + by, y1: box.y1 + by };
}

/** Points a little outside an outline walked clockwise on the page, beside each corner. */
export function outsideOf(outline: readonly Point[], index: number, by: number): Point {
  const at = (i: number): Point => outline[(i + outline.length) % outline.length] ?? [0, 0];
  const [before, here, after] = [at(index - 1), at(index), at(index + 1)];
  const first = unit(before, here), second = unit(here, after);
  // The left of the way walked is outside.
  const nx = first[1] + second[1], ny = -first[0] - second[0];
  const long = Math.hypot(nx, ny) || 1;
  return [here[0] + (nx / long) * by, here[1] + (ny / long) * by];
}

function unit(a: Point, b: Point): Point {
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  return [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
}
