// The screens' state without a screen: addresses, the order of the walk, plans merged from deltas, stamps.
import { describe, expect, it } from "vitest";
import { floor } from "../src/fixture/floor.ts";
import type { ReadingView, RoomView, WallView } from "../src/ipc/types.ts";
import { parsePlace, writePlace, type Place } from "../src/state/address.ts";
import { mergePlan } from "../src/state/merge-plan.ts";
import { nextPair, readingOf, saysElse } from "../src/state/walk-order.ts";
import { stampWords } from "../src/words/when.ts";

describe("addresses", () => {
  const places: Place[] = [
    { screen: "jobs" },
    { screen: "device" },
    { screen: "job", job: "a/b c" },
    { screen: "room", job: "j", room: "r#1" },
    { screen: "plan", job: "j", area: null, piece: null },
    { screen: "plan", job: "j", area: "main", piece: null },
    { screen: "plan", job: "j", area: "main", piece: "4-1" },
    { screen: "buy", job: "j" },
    { screen: "papers", job: "j" },
  ];
  it("the crew has a place of its own", () => expect(parsePlace("#/crew")).toEqual({ screen: "crew" }));
  it.each(places)("there and back: %o", (place) => expect(parsePlace(writePlace(place))).toEqual(place));
  it.each(["", "#", "#/nowhere", "#/job/", "#/%E0%A4%A"])("%s leads to the jobs", (hash) => expect(parsePlace(hash)).toEqual({ screen: "jobs" }));
  it("a piece without its area leads to the job's plans", () => expect(parsePlace("#/job/j/plan//piece/4-1")).toEqual({ screen: "plan", job: "j", area: null, piece: null }));
  it("half of a character can be written again", () => expect(writePlace(parsePlace("#/job/a\ud800"))).toBe("#/job/a%EF%BF%BD"));
});

describe("the order of the walk", () => {
  const room = (read: string, ties: [string, string][] = [], more: Partial<RoomView> = {}): RoomView => {
    const ids = ["A", "B", "C", "D"];
    const stamp = { by: "", at: "", zone_minutes: 0 };
    const reading = (from: string, to: string): ReadingView => ({ id: from + to, from, to, kind: "wall", text: "", mm: 1, stamp, residual_text: null, w: null, suspect: false, touched: null, height: null, corrected_text: null, says: null, earlier: [], conflict: [], others: [] });
    return {
      id: "", name: "", units: "imperial", exposure: { settings: [], yearly_range: "" },
      corners: ids.map((id) => ({ id, turn: "in", square: false, at: null, sd: null, angle_text: null })),
      walls: ids.map((from, i): WallView => ({ from, to: ids[(i + 1) % 4] ?? "A", adjusted_text: null, reading: read.includes(from) ? reading(from, "") : null })),
      ties: ties.map(([from, to]) => reading(from, to)),
      openings: [], keepouts: [], measured: { to: "wall", thickness: null, height: null, instrument: "tape" }, offsets: [], shape: null, edges: [], outline: null, outline_is_old: false, good_for_words: "", field: null, verdict: "loose", verdict_words: "", area_text: null, perimeter_text: null, misclosure_text: null, redundancy: 0, next: [], advice: [], problems: [],
      ...more,
    };
  };
  it("goes clockwise from the wall last measured, and round to those left out", () => {
    expect(nextPair(room(""), null)).toEqual({ from: "A", to: "B" });
    expect(nextPair(room("AB"), { from: "B", to: "C" })).toEqual({ from: "C", to: "D" });
    expect(nextPair(room("BCD"), { from: "D", to: "A" })).toEqual({ from: "A", to: "B" });
  });
  it("then takes what the core asks for, then a diagonal not yet taken, then nothing", () => {
    expect(nextPair(room("ABCD", [], { next: [{ from: "B", to: "D", words: "" }] }), null)).toEqual({ from: "B", to: "D" });
    expect(nextPair(room("ABCD", [["C", "A"]]), null)).toEqual({ from: "B", to: "D" });
    expect(nextPair(room("ABCD", [], { verdict: "consistent" }), null)).toBeNull();
  });
  it("knows what is kept of a wall or a diagonal, from either end", () => {
    const walked = room("AB", [["C", "A"]]);
    expect(readingOf(walked, { from: "A", to: "C" })).toBe(walked.ties[0]);
    expect(readingOf(walked, { from: "B", to: "C" })).toBe(walked.walls[1]?.reading);
    expect(readingOf(walked, { from: "C", to: "D" })).toBeNull();
  });
  it("a verdict speaks of what is kept, and of nothing that is typed beside it", () => {
    const walked = room("ABCD", [], { verdict: "consistent" });
    const wall = { from: "A", to: "B" };
    expect(saysElse(walked, wall, 1)).toBe(false);
    expect(saysElse(walked, wall, 2)).toBe(true);
    expect(saysElse(walked, wall, null)).toBe(true);
    expect(saysElse(walked, { from: "A", to: "C" }, 2)).toBe(true);
    expect(saysElse(room("A", [], { verdict: "unsolvable" }), { from: "B", to: "C" }, 2)).toBe(false);
  });
});

describe("plans from deltas", () => {
  const whole = floor("main", 4, 5, false);
  it("keep what is the same, take what changed, drop what left", () => {
    const [first, second] = whole.pieces;
    if (!first || !second) throw new Error("the floor has pieces");
    const merged = mergePlan(whole, { ...whole, version: "2", same: false, pieces: [{ ...second, breach: true }], removed: [first.id] });
    expect(merged?.pieces).toHaveLength(whole.pieces.length - 1);
    expect(merged?.pieces.find((piece) => piece.id === second.id)?.breach).toBe(true);
    expect(merged?.version).toBe("2");
  });
  it("stay as they are when nothing changed, and start whole", () => {
    expect(mergePlan(whole, { ...whole, same: true, pieces: [] })).toBe(whole);
    expect(mergePlan(null, whole)).toBe(whole);
  });
});

it("a stamp says the time on the clock of the device it was made on", () => {
  // 14:03 UTC at UTC−5 is 09:03 there (ISO 8601).
  expect(stampWords({ by: "Ines", at: "2026-03-04T14:03:00Z", zone_minutes: -300 })).toBe("Ines, 4 Mar 2026, 09:03");
});
