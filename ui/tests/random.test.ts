// Texts drawn by chance, the same in every run: an address leads somewhere and back, and keys of a keypad always leave a text.
import { isDeepStrictEqual } from "node:util";
import { describe, expect, it } from "vitest";
import { eighths, finish, hardwareKey, press, type Key } from "../src/keypad/keys.ts";
import { parsePlace, writePlace } from "../src/state/address.ts";

/** Numbers from 0 to less than 1, from a seed (mulberry32). */
function numbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const chance = numbers(20261129);
const below = (most: number): number => Math.floor(chance() * most);
const oneOf = <T>(all: readonly [T, ...T[]]): T => all[below(all.length)] ?? all[0];
const some = (most: number, draw: () => string): string => Array.from({ length: below(most + 1) }, draw).join("");

const parts = ["#", "/", "//", "job", "room", "plan", "work", "piece", "floor", "base", "heights", "buy", "quote", "papers", "device", "crew", "a", "4-1"] as const;
const odd = ["%", "%2", "%2F", "%E0%A4%A", "%00", "%ud800", "..", " ", "?", "&", "é", "½", "𝟙", "\u{202e}", "\u0000", "\ud800", "\udc00", "__proto__"] as const;
const letter = (): string => String.fromCharCode(below(0x10000));

describe("addresses drawn by chance", () => {
  const name = (): string => oneOf([() => oneOf(parts), () => oneOf(["%", "%2F", "?", " ", "½", "𝟙", "\u{202e}", ".."])])();
  const start = (): string => oneOf(["#/", "#", "", `#/job/${name()}/`, `#/job/${name()}/${oneOf(parts)}/`, `#/job/${name()}/room/${name()}/`]);
  const address = (): string => start() + some(8, () => oneOf([() => oneOf(parts) + "/", () => oneOf(parts), () => oneOf(odd), letter])());

  it("lead somewhere, and what is written of that leads there again", () => {
    const seen = new Set<string>();
    const astray: string[] = [];
    for (let n = 0; n < 5_000; n += 1) {
      const hash = n % 2 === 0 ? address() : address().slice(below(4));
      const place = parsePlace(hash);
      seen.add(place.screen);
      const written = writePlace(place);
      const again = parsePlace(written);
      if (!isDeepStrictEqual(again, place) || writePlace(again) !== written) astray.push(JSON.stringify([hash, written]));
    }
    expect(astray).toEqual([]);
    expect([...seen].sort()).toEqual(["base", "buy", "crew", "device", "floor", "heights", "job", "jobs", "papers", "plan", "quote", "room", "work"]);
  });

  it("lead to the room, the plan and the piece that they name, whatever those are called", () => {
    for (let n = 0; n < 500; n += 1) {
      const [job, id, piece] = [some(3, name) + "j", some(3, name) + "r", some(3, name) + "p"];
      for (const place of [
        { screen: "room", job, room: id },
        { screen: "heights", job, room: id },
        { screen: "work", job, area: id, piece },
        { screen: "plan", job, area: id, piece: null },
      ] as const) {
        if (!isDeepStrictEqual(parsePlace(writePlace(place)), place)) expect(parsePlace(writePlace(place))).toEqual(place);
      }
    }
  });
});

describe("keys pressed by chance", () => {
  const key = (): Key =>
    oneOf<() => Key>([
      () => ({ kind: "digit", text: String(below(10)) }),
      () => ({ kind: "fraction", text: oneOf(eighths) }),
      () => ({ kind: "sixteenth" }),
      () => ({ kind: "feet" }),
      () => ({ kind: "inch" }),
      () => ({ kind: "unit", text: oneOf(["mm", "cm", "m"]) }),
      () => ({ kind: "point" }),
      () => ({ kind: "back" }),
    ])();
  // What keys alone can make: feet, then a number that may have a fraction or a unit, or be empty.
  const keyed = /^(\d+(\.\d*)?' ?)?(\d*(\.\d*)?( ?\d+\/\d+)?"?)( (mm|cm|m))?$/;

  it("leave a text of the trade's notation, which closing twice changes no more than once", () => {
    const odd: string[] = [];
    for (let n = 0; n < 1_000; n += 1) {
      let text = "";
      for (let pressed = 0; pressed < 12; pressed += 1) {
        const [before, next] = [text, key()];
        text = press(before, next);
        const shorter = next.kind !== "back" || before === "" || text.length < before.length;
        if (!keyed.test(text) || !shorter) odd.push(`${JSON.stringify(next)}: ${before} became ${text}`);
      }
      for (const units of ["imperial", "inches", "metric"] as const) {
        const closed = finish(text, units);
        if (finish(closed, units) !== closed) odd.push(`${text} closed in ${units}: ${closed}, then ${finish(closed, units)}`);
      }
    }
    expect(odd).toEqual([]);
  });

  it("are taken on any text, as it may stand in a field", () => {
    const piece = (): string => oneOf([() => String(below(10)), () => oneOf(["'", '"', "/", ".", " ", "0/0", "1/0", '3/0"', "mm", "m", "-"]), () => oneOf(odd), letter])();
    for (let n = 0; n < 2_000; n += 1) {
      const text = some(12, piece);
      const made = [press(text, key()), finish(text, oneOf(["imperial", "inches", "metric"] as const), n % 2 === 0)];
      if (made.some((one) => typeof one !== "string")) expect(made, JSON.stringify(text)).toEqual([]);
      const typed = hardwareKey(text);
      if (typed !== null && typeof typed === "object" && typed.add !== text) expect(typed.add).toBe(text);
    }
  });
});
