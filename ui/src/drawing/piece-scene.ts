// One piece on its tile, as it is marked out: the part to keep white and bold, the waste hatched.
import type { PieceCardView, Point } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf } from "./camera.ts";
import { marksOf } from "./marks.ts";
import { padded } from "./rings.ts";
import { ringOf, type Dim, type Ink, type Scene } from "./scene.ts";

/** `planned`: its figures are the plan's and none to cut by yet. */
export function pieceScene(card: PieceCardView, planned = false): Scene {
  const [long, wide] = card.tile_face;
  const face: Point[] = [[0, 0], [long, 0], [long, wide], [0, wide]];
  const tile = ringOf(face);
  const whole = card.cut === "whole";
  const ink = planned ? "soft" : whole ? "ink" : "accent";
  return {
    box: padded({ x0: 0, y0: 0, x1: long, y1: wide }, long * 0.01),
    strata: [
      { rings: [tile], fill: "wash", ...(whole ? {} : { hatch: "waste" as const }), stroke: "soft", width: 1.5 },
      { rings: [card.on_tile], fill: "paper", stroke: "ink", width: 4 },
    ],
    dims: card.marks.length > 0 ? markDims(card, ink) : sizeDims(card, ink),
    notes: [{ at: middleOf(card), text: card.id, ink: "ink", size: 30, bold: true }],
    targets: [],
    told: words.piece.told(card.id, card.size.length.text, card.size.width.text, card.cut_words),
  };
}

function middleOf(card: PieceCardView): Point {
  const box = boxOf([card.on_tile.outer]);
  return box ? [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2] : [0, 0];
}

/** The piece's length above and its width beside it, in figures to be read from a metre. */
function sizeDims(card: PieceCardView, ink: Ink): Dim[] {
  const box = boxOf([card.on_tile.outer]);
  if (!box) return [];
  return [
    { a: [box.x0, box.y0], b: [box.x1, box.y0], away: 36, text: card.size.length.text, ink, grand: true },
    { a: [box.x0, box.y1], b: [box.x0, box.y0], away: 36, text: card.size.width.text, ink, grand: true },
  ];
}

/** The marks along the tile's edges, from the edge the piece keeps; marks inside the tile are in the list alone. */
function markDims(card: PieceCardView, ink: Ink): Dim[] {
  const [long, wide] = card.tile_face;
  const box = boxOf([card.on_tile.outer]);
  if (!box) return [];
  const nearer = 1;
  const startX = box.x0 < nearer ? 0 : long, startY = box.y0 < nearer ? 0 : wide;
  return marksOf(card).flatMap(({ text, mm, edges }): Dim[] => {
    const [edge] = edges;
    const x = startX === 0 ? mm : long - mm, y = startY === 0 ? mm : wide - mm;
    const [lowX, highX] = [Math.min(startX, x), Math.max(startX, x)], [lowY, highY] = [Math.min(startY, y), Math.max(startY, y)];
    const look = { text, ink, grand: true, away: 38 };
    if (edge === "row_low") return [{ a: [lowX, 0], b: [highX, 0], ...look }];
    if (edge === "row_high") return [{ a: [highX, wide], b: [lowX, wide], ...look }];
    if (edge === "start") return [{ a: [0, highY], b: [0, lowY], ...look }];
    if (edge === "end") return [{ a: [long, lowY], b: [long, highY], ...look }];
    return [];
  });
}
