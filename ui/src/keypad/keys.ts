// The keypads and what each key does to the text being typed. Pure text: the core alone reads lengths.
import type { Units } from "../ipc/types.ts";

export type Key =
  | { kind: "digit"; text: string }
  | { kind: "fraction"; text: string }
  | { kind: "sixteenth" }
  | { kind: "feet" }
  | { kind: "inch" }
  | { kind: "unit"; text: string }
  | { kind: "point" }
  | { kind: "back" };

export const eighths = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"] as const;

const fractionAtEnd = /\s*(\d+)\/(\d+)"?$/;
const unitAtEnd = /\s*(mm|cm|m)$/;

/** The text after one key. */
export function press(text: string, key: Key): string {
  switch (key.kind) {
    case "digit":
      return closed(text) ? text : text + key.text;
    case "point":
      return closed(text) || /\.\d*$/.test(text) ? text : `${text}.`;
    case "feet":
      return /^\d+(\.\d+)?$/.test(text) ? `${text}' ` : text;
    case "inch":
      return closed(text) || !/\d$/.test(text) ? text : `${text}"`;
    case "unit":
      return unitless(text) === "" ? text : `${unitless(text)} ${key.text}`;
    case "fraction":
      return withFraction(text, key.text);
    case "sixteenth":
      return withFraction(text, addSixteenth(text));
    case "back":
      return backspace(text);
  }
}

/**
 * Closes what the last key left open: an inch mark after feet, the job's own unit after a bare number. A distance that
 * is read keeps three bare decimals bare: a meter types metres so, and the core knows.
 */
export function finish(text: string, units: Units, reading = false): string {
  const bare = text.trim();
  if (reading && /^\d+\.\d{3}$/.test(bare)) return bare;
  if (units === "metric") return /^[\d.]+$/.test(bare) ? `${bare} mm` : bare;
  if (/'\s*[\d.]+$/.test(bare) || /\d\/\d+$/.test(bare)) return `${bare}"`;
  return units === "inches" && /^[\d.]+$/.test(bare) ? `${bare}"` : bare;
}

function closed(text: string): boolean {
  return text.endsWith('"') || unitAtEnd.test(text);
}

function unitless(text: string): string {
  return text.replace(unitAtEnd, "").trim();
}

function withFraction(text: string, fraction: string): string {
  const whole = text.replace(fractionAtEnd, "").replace(/"$/, "").trimEnd();
  if (whole === "") return `${fraction}"`;
  return /[\d']$/.test(whole) && !/\.\d*$/.test(whole) ? `${whole} ${fraction}"` : text;
}

/** The fraction that stands at the end and one sixteenth more, in lowest terms; 15/16 stays. */
function addSixteenth(text: string): string {
  const found = fractionAtEnd.exec(text);
  const now = found ? (Number(found[1]) * 16) / Number(found[2]) : 0;
  let top = Math.min(Math.floor(now) + 1, 15);
  let bottom = 16;
  while (top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  return `${top}/${bottom}`;
}

/** Takes back what one key put there: a whole fraction, a feet mark with its blank, a unit, or one character. */
function backspace(text: string): string {
  if (fractionAtEnd.test(text)) return text.replace(fractionAtEnd, "");
  if (unitAtEnd.test(text)) return unitless(text);
  return text.endsWith("' ") ? text.slice(0, -2) : text.slice(0, -1);
}

const typable = /^[\d\s./'"’”′″ a-zA-Z,-]$/u;

/** What a key of a real keyboard (or of a meter that types like one) does: a character, an action, or nothing. */
export function hardwareKey(name: string): { add: string } | "commit" | "back" | "leave" | null {
  if (name === "Enter" || name === "Tab") return "commit";
  if (name === "Backspace") return "back";
  if (name === "Escape") return "leave";
  return name.length === 1 && typable.test(name) ? { add: name } : null;
}
