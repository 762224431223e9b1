// Every language says everything: the same keys, the same choices, and out of the same things.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { english } from "../src/words/en.ts";
import { languages } from "../src/words/words.ts";

/** What is given to a text that is put together: each a sign of its own, so that one that is lost is seen. */
const signs = ["⟦a⟧", "⟦b⟧", "⟦c⟧", "⟦d⟧", "⟦e⟧"];
type Text = (...given: unknown[]) => string;

/** The signs that a text made of them shows, however often. */
function shown(text: Text): string {
  try {
    const said = text(...signs);
    return signs.filter((sign) => said.includes(sign)).join();
  } catch {
    // It counts with what it is given, or takes a list.
    const said = text(signs.slice(0, 2), 41, 42, 43);
    return [...signs, "41", "42", "43"].filter((sign) => said.includes(sign)).join();
  }
}

/** What differs between two catalogues, each with its key. */
function differences(one: unknown, other: unknown, key = ""): string[] {
  if (typeof one !== typeof other) return [`${key} is missing, or of another kind`];
  if (typeof one === "string") return one !== "" && other === "" ? [`${key} is empty`] : key.endsWith(".value") && one !== other ? [`${key} chooses something else`] : [];
  if (typeof one === "function") {
    const [wanted, found] = [shown(one as Text), shown(other as Text)];
    return wanted === found ? [] : [`${key} is put together from ${found || "nothing"} where ${wanted || "nothing"} belongs`];
  }
  if (typeof one !== "object" || one === null || other === null) return [];
  const keys = [...new Set([...Object.keys(one), ...Object.keys(other as object)])];
  return keys.flatMap((name) => differences((one as Record<string, unknown>)[name], (other as Record<string, unknown>)[name], key ? `${key}.${name}` : name));
}

/** How many texts a catalogue holds. */
const texts = (part: unknown): number => (typeof part === "object" && part !== null ? Object.values(part).reduce((sum: number, each) => sum + texts(each), 0) : 1);

describe("the catalogue", () => {
  it.each(Object.keys(languages))("is complete in %s", (code) => {
    expect(differences(english, languages[code as keyof typeof languages])).toEqual([]);
  });

  it("alone says how a language writes its figures", () => {
    // 1,234 tiles are one and a quarter for who reads German, 1.234 for who reads the point of lengths.
    const files = readdirSync("src", { recursive: true, encoding: "utf8" }).filter((name) => /\.(ts|svelte)$/.test(name) && !name.startsWith("words/"));
    expect(files.length).toBeGreaterThan(100);
    expect(files.filter((name) => /toLocale\w*\(|Intl\./.test(readFileSync(`src/${name}`, "utf8")))).toEqual([]);
    expect(Object.values(languages).map((words) => words.plan.figure(1234))).toEqual(["1,234", "1\u00a0234"]);
  });

  it("is looked through as a whole", () => {
    expect(texts(english)).toBeGreaterThan(800);
  });

  it("tells a missing key, an empty text, another choice and a lost figure", () => {
    const one = { a: { b: "Save", c: (n: number) => `${n} tiles` }, d: [{ value: "off", name: "off" }] };
    expect(differences(one, { a: { b: "", c: () => "Fliesen" }, d: [{ value: "aus", name: "aus" }] })).toEqual([
      "a.b is empty",
      "a.c is put together from nothing where ⟦a⟧ belongs",
      "d.0.value chooses something else",
    ]);
    expect(differences(one, { a: { b: "Sichern" }, d: one.d })).toEqual(["a.c is missing, or of another kind"]);
  });

  it("calls every language by its own name in all of them", () => {
    const names = Object.values(languages).map((words) => words.device.languages);
    expect(names.every((each) => JSON.stringify(each) === JSON.stringify(names[0]))).toBe(true);
    expect(Object.keys(names[0] ?? {})).toEqual(Object.keys(languages));
  });
});
