// A floor that is being laid: what lies is filled and ticked, what is cut is hatched, what is open is paper.
import type { WorkArea, WorkPiece } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf, noBox } from "./camera.ts";
import { padded } from "./rings.ts";
import type { Note, Scene, Stratum } from "./scene.ts";

export function workScene(area: WorkArea): Scene {
  const box = boxOf(area.pieces.map((piece) => piece.rings.outer)) ?? noBox;
  const longest = Math.max(0, ...area.pieces.map((piece) => piece.id.length));
  const next = area.pieces.filter((piece) => piece.id === area.next).map((piece) => piece.rings);
  const of = (done: string): WorkPiece["rings"][] => area.pieces.filter((piece) => piece.done === done).map((piece) => piece.rings);
  const strata: Stratum[] = [
    { rings: of("open"), fill: "paper", stroke: "ink", width: 0.75 },
    { rings: of("cut"), fill: "paper", hatch: "dots", stroke: "ink", width: 0.75 },
    { rings: of("laid"), fill: "wash", stroke: "ink", width: 0.75 },
    { rings: next, stroke: "accent", width: 3.5 },
  ];
  return {
    box: padded(box, 40),
    strata: strata.filter((stratum) => stratum.rings.length > 0),
    dims: [],
    notes: area.pieces.flatMap((piece) => notesOf(piece, longest)),
    targets: area.pieces.map((piece) => ({ id: piece.id, name: pieceName(piece), ring: piece.rings.outer, holes: piece.rings.holes })),
    told: words.work.told(area.plan_words, area.rows.length, area.words),
  };
}

/** How far a piece is, in words: a whole tile is never cut. */
export function stateOf(piece: WorkPiece): string {
  return piece.done === "open" && piece.cut === "whole" ? words.work.openWhole : (words.work.states[piece.done] ?? piece.done);
}

export function pieceName(piece: WorkPiece): string {
  return words.work.pieceName(piece.id, stateOf(piece), piece.noted);
}

function notesOf(piece: WorkPiece, longest: number): Note[] {
  const box = boxOf([piece.rings.outer]);
  if (!box) return [];
  const [x, y] = [box.x1 - box.x0, box.y1 - box.y0];
  const at: [number, number] = [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2];
  if (piece.noted) return [{ at, text: "▲", ink: "accent", size: 14, bold: true }];
  if (piece.done === "laid") return [{ at, text: "✓", ink: "ink", size: 15, bold: true, ground: "wash", room: { mm: Math.min(x, y), atLeast: 12 } }];
  const ground = piece.done === "cut" ? { ground: "paper" as const } : {};
  return [{ at, text: piece.id, ink: "ink", size: 12, ...ground, room: { mm: Math.min(x, y * 2.5), atLeast: 7 * longest + 8 } }];
}
