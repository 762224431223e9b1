// What is to be drawn, without saying how: strata of rings, dimension lines, notes, and what can be pointed at.
import type { Point, Rings } from "../ipc/types.ts";
import type { Box } from "./camera.ts";

/** Inks are theme tokens, never colours. */
export type Ink = "ink" | "soft" | "line" | "accent" | "paper" | "wash" | "tint";
type Level = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;
/**
 * Hatches carry meaning without colour: each class of cut has its own, what is not floor slants the other way, and
 * the lower a floor (`low`), or the more is taken off it (`off`), the denser its lines.
 */
export type Hatch = "along" | "across" | "crossed" | "dots" | "waste" | "void" | `low${Level}` | `off${Level}`;

export interface Stratum {
  readonly rings: readonly Rings[];
  readonly fill?: Ink;
  readonly hatch?: Hatch;
  readonly stroke?: Ink;
  /** Line width in screen pixels before the theme's weight. */
  readonly width?: number;
  readonly dash?: readonly number[];
  /** Open lines instead of closed rings. */
  readonly open?: boolean;
}

/** A dimension line with ticks, drawn beside a–b; `away` is its distance in pixels to the left of a→b. */
export interface Dim {
  readonly a: Point;
  readonly b: Point;
  readonly away: number;
  readonly text: string;
  readonly ink: Ink;
  readonly bold?: boolean;
  readonly waiting?: boolean;
  /** Figures twice as large, for reading from a metre. */
  readonly grand?: boolean;
  /** Marks the line besides its ink: a suspect reading. */
  readonly flag?: boolean;
  /** What the figure stands on, for the halo that keeps it readable; paper unless said. */
  readonly ground?: Ink;
}

export interface Note {
  readonly at: Point;
  readonly text: string;
  readonly ink: Ink;
  readonly size: number;
  readonly bold?: boolean;
  /** Set in a ring, as corners and balloons are. */
  readonly ringed?: boolean;
  /** Shown only when one plan unit of this many millimetres is at least `atLeast` pixels. */
  readonly room?: { mm: number; atLeast: number };
  /** What the note stands on, where lines may run under it. */
  readonly ground?: Ink;
  /** Screen offset in pixels. */
  readonly shift?: Point;
}

/** Something that can be pointed at, by finger or by key. */
export interface Target {
  readonly id: string;
  readonly name: string;
  readonly ring?: readonly number[];
  readonly holes?: readonly (readonly number[])[];
  readonly segment?: readonly [Point, Point];
  readonly at?: Point;
}

export interface Scene {
  readonly box: Box;
  readonly strata: readonly Stratum[];
  readonly dims: readonly Dim[];
  readonly notes: readonly Note[];
  readonly targets: readonly Target[];
  /** What a person who cannot see the drawing is told. */
  readonly told: string;
}

export function ringOf(points: readonly Point[]): Rings {
  return { outer: points.flatMap(([x, y]) => [x, y]), holes: [] };
}

export function centreOf(target: Target): Point {
  if (target.at) return target.at;
  if (target.segment) {
    const [a, b] = target.segment;
    return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  }
  const ring = target.ring ?? [0, 0];
  let x = 0, y = 0;
  for (let i = 0; i < ring.length; i += 2) {
    x += ring[i] ?? 0;
    y += ring[i + 1] ?? 0;
  }
  return [(2 * x) / ring.length, (2 * y) / ring.length];
}
