// A plan as a working drawing: the field, every piece in its place, each class of cut with its own hatch.
import { cutOf, type Cut, type PieceView, type PlanView, type Point } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf, noBox } from "./camera.ts";
import { padded } from "./rings.ts";
import type { Dim, Hatch, Note, Scene, Stratum, Target } from "./scene.ts";

/** The hatch of each class of cut; a whole tile is left as paper. */
export const cutHatch: Readonly<Record<Cut, Hatch | null>> = {
  whole: null,
  length: "across",
  rip: "along",
  corner: "crossed",
  shape: "dots",
};

export function planScene(plan: PlanView): Scene {
  const box = boxOf(plan.field.map((rings) => rings.outer)) ?? boxOf(plan.pieces.map((piece) => piece.rings.outer)) ?? noBox;
  // Names appear all at once when the longest fits, not here and there.
  const longest = Math.max(0, ...plan.pieces.map((piece) => piece.id.length));
  return {
    box: padded(box, 40),
    strata: [
      { rings: plan.field, fill: "wash" },
      ...pieceStrata(plan.pieces),
      { rings: plan.field, stroke: "ink", width: 2.5 },
      { rings: plan.joints.map((line) => ({ outer: line.flat(), holes: [] })), stroke: "accent", width: 2, dash: [12, 4, 2, 4], open: true },
    ],
    dims: rowDims(plan),
    notes: plan.pieces.flatMap((piece) => pieceNotes(piece, longest)),
    targets: plan.pieces.map((piece): Target => ({ id: piece.id, name: pieceName(piece), ring: piece.rings.outer, holes: piece.rings.holes })),
    told: words.plan.told(plan.pieces.length, plan.rows.length, plan.tiles, plan.choice.words),
  };
}

export function pieceName(piece: PieceView): string {
  const cut = words.plan.cuts[cutOf(piece.cut)];
  return words.plan.pieceName(piece.id, piece.row, cut, piece.breach);
}

function pieceStrata(pieces: readonly PieceView[]): Stratum[] {
  const cuts: Cut[] = ["whole", "length", "rip", "corner", "shape"];
  const strata = cuts.map((cut): Stratum => {
    const rings = pieces.filter((piece) => cutOf(piece.cut) === cut).map((piece) => piece.rings);
    const hatch = cutHatch[cut];
    return { rings, fill: cut === "whole" ? "paper" : "tint", stroke: "ink", width: 0.75, ...(hatch ? { hatch } : {}) };
  });
  const broken = pieces.filter((piece) => piece.breach).map((piece) => piece.rings);
  return [...strata.filter((stratum) => stratum.rings.length > 0), { rings: broken, stroke: "accent", width: 2.5 }];
}

function pieceNotes(piece: PieceView, longest: number): Note[] {
  const box = boxOf([piece.rings.outer]);
  if (!box) return [];
  const [x, y] = [box.x1 - box.x0, box.y1 - box.y0];
  if (piece.breach) {
    // The mark of a broken rule is shown however small the piece is.
    const at: Point = [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2];
    return [{ at, text: "▲", ink: "accent", size: 13, bold: true, ground: "paper" }];
  }
  const text = piece.id;
  return [{ at: [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2], text, ink: "soft", size: 12, room: { mm: Math.min(x, y * 2.5), atLeast: 7 * longest + 8 } }];
}

/** The widths of the first and the last row, drawn at the start of the rows. */
function rowDims(plan: PlanView): Dim[] {
  const first = plan.rows[0], last = plan.rows.at(-1);
  return [first, last === first ? undefined : last].flatMap((row): Dim[] => {
    const span = row && rowSpan(plan, row.row);
    return span ? [{ a: span[1], b: span[0], away: 26, text: row.width.text, ink: "ink" }] : [];
  });
}

/** Where a row's tiles begin and end across it, at its least u: two points on the page. */
function rowSpan(plan: PlanView, row: number): [Point, Point] | null {
  const turn = (plan.frame.angle_degrees * Math.PI) / 180;
  const [ux, uy] = [Math.cos(turn), Math.sin(turn)];
  let u0 = Infinity, v0 = Infinity, v1 = -Infinity;
  for (const piece of plan.pieces) {
    const { outer } = piece.rings;
    for (let i = 0; i + 1 < outer.length; i += 2) {
      const x = outer[i] ?? 0, y = outer[i + 1] ?? 0;
      u0 = Math.min(u0, x * ux + y * uy);
      if (piece.row !== row) continue;
      const v = y * ux - x * uy;
      v0 = Math.min(v0, v);
      v1 = Math.max(v1, v);
    }
  }
  const at = (v: number): Point => [u0 * ux - v * uy, u0 * uy + v * ux];
  return v1 > v0 ? [at(v0), at(v1)] : null;
}
