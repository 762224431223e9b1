// The marks of a cut card as a person makes them: equal marks on opposite edges are one line, said once.
import type { PieceCardView } from "../ipc/types.ts";
import { words } from "../words/words.ts";

export interface Mark { text: string; mm: number; from: string; at: string; edges: string[] }

export function marksOf(card: PieceCardView): Mark[] {
  const marks: Mark[] = [];
  for (const { edge, text, mm, from_words } of card.marks) {
    const same = edge === "inside" ? undefined : marks.find((one) => one.text === text && one.from === from_words && !one.edges.includes("inside"));
    if (same) same.edges.push(edge);
    else marks.push({ text, mm, from: from_words, at: "", edges: [edge] });
  }
  return marks.map((mark) => ({ ...mark, at: whereOf(mark, marks) }));
}

/** Which edge a mark is made on: both, the one it names, or nothing where there is no doubt. */
function whereOf(mark: Mark, all: readonly Mark[]): string {
  if (mark.edges.length > 1) return words.piece.bothEdges;
  const [edge = ""] = mark.edges;
  return all.some((one) => one !== mark && one.from === mark.from) || edge === "inside" ? (words.piece.edges[edge] ?? edge) : "";
}
