// A stamp in words: who, and when by the clock of the device it was entered on.
import type { Stamp } from "../ipc/types.ts";
import { language } from "./words.ts";

/** "Ann, 25 Nov 2026 14:03": the time as it was on the entering device's wall, from its zone. */
export function stampWords(stamp: Stamp): string {
  const time = Date.parse(stamp.at);
  if (Number.isNaN(time)) return `${stamp.by}, ${stamp.at}`;
  const there = new Date(time + stamp.zone_minutes * 60_000);
  const text = there.toLocaleString(language === "en" ? "en-GB" : language, { timeZone: "UTC", day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" });
  return `${stamp.by}, ${text}`;
}
