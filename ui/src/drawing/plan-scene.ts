// A plan as a working drawing: the field, every piece in its place, each class of cut with its own hatch.
import type { Cut, PieceView, PlanView } from "../ipc/types.ts";
import { words } from "../words/en.ts";
import { boxOf, noBox } from "./camera.ts";
import { padded } from "./rings.ts";
import type { Hatch, Note, Scene, Stratum, Target } from "./scene.ts";

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
  return {
    box: padded(box, 40),
    strata: [
      { rings: plan.field, fill: "wash" },
      ...pieceStrata(plan.pieces),
      { rings: plan.field, stroke: "ink", width: 2.5 },
      { rings: plan.joints.map((line) => ({ outer: line.flat(), holes: [] })), stroke: "accent", width: 2, dash: [12, 4, 2, 4], open: true },
    ],
    dims: [],
    notes: plan.pieces.flatMap(pieceNotes),
    targets: plan.pieces.map((piece): Target => ({ id: piece.id, name: pieceName(piece), ring: piece.rings.outer, holes: piece.rings.holes })),
    told: words.plan.told(plan.pieces.length, plan.rows.length, plan.tiles, plan.choice.words),
  };
}

export function pieceName(piece: PieceView): string {
  const cut = words.plan.cuts[piece.cut];
  return words.plan.pieceName(piece.id, piece.row, cut, piece.breach);
}

function pieceStrata(pieces: readonly PieceView[]): Stratum[] {
  const cuts: Cut[] = ["whole", "length", "rip", "corner", "shape"];
  const strata = cuts.map((cut): Stratum => {
    const rings = pieces.filter((piece) => piece.cut === cut).map((piece) => piece.rings);
    const hatch = cutHatch[cut];
    return { rings, fill: cut === "whole" ? "paper" : "tint", stroke: "ink", width: 0.75, ...(hatch ? { hatch } : {}) };
  });
  const broken = pieces.filter((piece) => piece.breach).map((piece) => piece.rings);
  return [...strata.filter((stratum) => stratum.rings.length > 0), { rings: broken, stroke: "accent", width: 2.5 }];
}

function pieceNotes(piece: PieceView): Note[] {
  const box = boxOf([piece.rings.outer]);
  if (!box) return [];
  const wide = Math.min(box.x1 - box.x0, (box.y1 - box.y0) * 2.5);
  const text = piece.breach ? `▲ ${piece.id}` : piece.id;
  return [{ at: [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2], text, ink: piece.breach ? "accent" : "soft", size: 12, bold: piece.breach, room: { mm: wide, atLeast: 9 * text.length + 6 } }];
}
