// What the keypad's keys make of a text. Expected texts are the trade notation the job sheet lays down.
import { describe, expect, it } from "vitest";
import { finish, hardwareKey, press, type Key } from "../src/keypad/keys.ts";

const keys: Record<string, Key> = {
  ft: { kind: "feet" }, in: { kind: "inch" }, ".": { kind: "point" }, "<": { kind: "back" }, "+": { kind: "sixteenth" },
  mm: { kind: "unit", text: "mm" }, cm: { kind: "unit", text: "cm" },
};
const keyOf = (name: string): Key => keys[name] ?? (name.includes("/") ? { kind: "fraction", text: name } : { kind: "digit", text: name });
const typed = (sequence: string): string => sequence.split(" ").reduce((text, name) => press(text, keyOf(name)), "");

describe("keys", () => {
  it.each([
    ["1 2 ft 3 1/2", `12' 3 1/2"`],
    ["1 2 ft 3 in", `12' 3"`],
    ["1 2 ft 1/2", `12' 1/2"`],
    ["1 4 7 5/8", `147 5/8"`],
    ["3/8", `3/8"`],
    ["3 3/8 +", `3 7/16"`],
    ["3 + + +", `3 3/16"`],
    ["3 7/8 + +", `3 15/16"`],
    ["3 1/2 3/4", `3 3/4"`],
    ["1 2 ft 3 1/2 <", `12' 3`],
    ["1 2 ft <", "12"],
    ["1 2 ft 3 1/2 9", `12' 3 1/2"`],
    ["1 2 ft ft", `12' `],
    ["ft", ""],
    ["1 4 7 . 5 in", `147.5"`],
    ["1 . 5 . 2", "1.52"],
    ["1 . 5 1/2", "1.5"],
    ["3 7 . 5 cm", "37.5 cm"],
    ["4 8 mm cm", "48 cm"],
    ["4 8 mm <", "48"],
    ["<", ""],
  ])("%s types %s", (sequence, text) => expect(typed(sequence)).toBe(text));

  it.each([
    ["12' 3", "imperial", `12' 3"`],
    ["12' ", "imperial", "12'"],
    ["147", "imperial", "147"],
    ["147", "inches", `147"`],
    ["147 5/8", "inches", `147 5/8"`],
    ["3745", "metric", "3745 mm"],
    ["3.745 m", "metric", "3.745 m"],
    ["37.5 cm", "imperial", "37.5 cm"],
  ] as const)("%s in %s is sent as %s", (text, units, sent) => expect(finish(text, units)).toBe(sent));

  it("leaves a meter's three bare decimals to the core, where a distance is read", () => {
    expect(finish("12.345", "metric", true)).toBe("12.345");
    expect(["12.345", "12.34", "12345"].map((text) => finish(text, "metric"))).toEqual(["12.345 mm", "12.34 mm", "12345 mm"]);
    expect(["12.34", "3745.5", "12345"].map((text) => finish(text, "metric", true))).toEqual(["12.34 mm", "3745.5 mm", "12345 mm"]);
  });

  it("takes what a meter types and leaves what it does not know", () => {
    expect([..."3.745 m"].map(hardwareKey)).toEqual([..."3.745 m"].map((add) => ({ add })));
    expect(["Enter", "Tab"].map(hardwareKey)).toEqual(["commit", "commit"]);
    expect(["F5", "Shift", "ArrowLeft", "*"].map(hardwareKey)).toEqual([null, null, null, null]);
  });
});
