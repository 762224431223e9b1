// A plan kept up to date from what changed since the version at hand.
import type { PieceView, PlanView } from "../ipc/types.ts";

/** The plan after an answer to "what changed since `have`"; a whole answer when nothing was at hand. */
export function mergePlan(have: PlanView | null, answer: PlanView): PlanView {
  if (have && answer.same) return have;
  if (!have || have.area !== answer.area) return answer;
  const gone = new Set(answer.removed);
  const pieces = new Map<string, PieceView>();
  for (const piece of have.pieces) if (!gone.has(piece.id)) pieces.set(piece.id, piece);
  for (const piece of answer.pieces) pieces.set(piece.id, piece);
  return { ...answer, pieces: [...pieces.values()].sort((a, b) => a.row - b.row || a.place - b.place) };
}
