// A refusal by the core, kept with its place so that it can be shown where it belongs.
import { words } from "../words/words.ts";
import type { ProblemWire } from "./types.ts";

export class Problem extends Error {
  readonly code: string;
  readonly place: string;
  readonly params: Record<string, string | undefined>;
  readonly hint: string;

  constructor(wire: ProblemWire) {
    super(wire.message);
    this.name = "Problem";
    this.code = wire.code;
    this.place = wire.place;
    this.params = wire.params;
    this.hint = wire.hint;
  }
}

function isWire(value: unknown): value is ProblemWire {
  return typeof value === "object" && value !== null && "code" in value && "message" in value;
}

/** Turns whatever a call was rejected with into a Problem: the core's own, or "no answer". */
export function problemFrom(reason: unknown): Problem {
  if (reason instanceof Problem) return reason;
  if (isWire(reason)) {
    return new Problem({ ...reason, place: reason.place ?? "", params: reason.params ?? {}, hint: reason.hint ?? "" });
  }
  const detail = reason instanceof Error ? reason.message : String(reason);
  return new Problem({
    code: "no_answer",
    place: "",
    params: { detail },
    message: words.noAnswer,
    hint: words.noAnswerHint(detail),
  });
}
