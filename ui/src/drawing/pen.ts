// A pen on a field measured in mm: places close to the last one are left out, places outside are drawn in to its edge.
import type { SignatureStrokes } from "../ipc/types.ts";

type Place = [number, number];

/** Places closer than this to the last one say nothing new, mm. */
const least = 0.25;
const hundredths = (mm: number): number => Math.round(mm * 100) / 100;

export class Pen {
  #field: { width: number; height: number };
  #before: readonly Place[][];
  #stroke: Place[] = [];

  constructor(field: { width: number; height: number }, before: readonly Place[][]) {
    this.#field = field;
    this.#before = before;
  }

  down(place: Place): void {
    this.#stroke = [this.#inside(place)];
  }

  to(place: Place): void {
    const [x, y] = this.#inside(place);
    const last = this.#stroke[this.#stroke.length - 1];
    if (!last || Math.hypot(x - last[0], y - last[1]) >= least) this.#stroke = [...this.#stroke, [x, y]];
  }

  /** All of it; nothing while no stroke has two places. */
  drawn(): SignatureStrokes | null {
    const strokes = [...this.#before, this.#stroke].filter((stroke) => stroke.length > 1);
    if (strokes.length === 0) return null;
    return { width: hundredths(this.#field.width), height: hundredths(this.#field.height), strokes };
  }

  #inside([x, y]: Place): Place {
    const within = (mm: number, most: number): number => hundredths(Math.min(Math.max(mm, 0), most));
    return [within(x, this.#field.width), within(y, this.#field.height)];
  }
}

/** A stroke as the path of a drawing. */
export const strokePath = (stroke: readonly Place[]): string => stroke.map(([x, y], i) => `${i === 0 ? "M" : "L"}${x} ${y}`).join("");

/** Strokes that were kept as a text; nothing where it is none. */
export function readStrokes(text: string): SignatureStrokes | null {
  try {
    const read = JSON.parse(text) as Partial<SignatureStrokes> | null;
    return read && typeof read.width === "number" && typeof read.height === "number" && Array.isArray(read.strokes) ? (read as SignatureStrokes) : null;
  } catch {
    return null;
  }
}
