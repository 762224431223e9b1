// What the layer marks on the floor, over the plan: the chalk line with its marks, the diagonal that checks it, and the
// letters of the corners that the words name walls by.
import type { Point, SettingOutView, WallMarkView } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import type { Note, Scene, Stratum } from "./scene.ts";

export function withChalk(scene: Scene, out: SettingOutView): Scene {
  const open = (...lines: (readonly [Point, Point])[]): Pick<Stratum, "rings" | "open"> => ({ rings: lines.map((line) => ({ outer: line.flat(), holes: [] })), open: true });
  const off = (mark: WallMarkView): [Point, Point] => [mark.foot, mark.at];
  return {
    ...scene,
    strata: [
      ...scene.strata,
      { ...open(out.check_line), stroke: "soft", width: 1.5, dash: [6, 5] },
      { ...open(...out.marks.map(off), off(out.first_joint)), stroke: "accent", width: 1.5 },
      { ...open(out.line), stroke: "accent", width: 3 },
    ],
    notes: [
      ...scene.notes,
      ...out.corners.map(({ name, at, middle }): Note => ({ at, text: name, ink: "ink", size: 13, bold: true, ground: "paper", shift: [9 * Math.sign(middle[0] - at[0]), 11 * Math.sign(middle[1] - at[1])] })),
      { at: out.first_joint.at, text: words.chalk.jointLetter, ink: "accent", size: 15, bold: true, ground: "paper", shift: inward(out, 38) },
      ...out.marks.map((mark, i): Note => ({ at: mark.at, text: `${i + 1}`, ink: "accent", size: 14, ringed: true, ground: "paper", shift: inward(out, 17) })),
    ],
    told: `${scene.told} ${out.words}`,
  };
}

/** So many pixels off the line, away from the wall that its marks are measured from. */
function inward(out: SettingOutView, pixels: number): Point {
  const [mark] = out.marks;
  if (!mark) return [0, 0];
  const [x, y] = [mark.at[0] - mark.foot[0], mark.at[1] - mark.foot[1]];
  const length = Math.hypot(x, y) || 1;
  return [(pixels * x) / length, (pixels * y) / length];
}
