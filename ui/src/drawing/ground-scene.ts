// What carries a floor as a drawing: the room, tests and things at their places, joints and cracks as lines.
import type { EntryView, GroundView, Point } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf, noBox } from "./camera.ts";
import { padded } from "./rings.ts";
import type { Note, Scene, Stratum, Target } from "./scene.ts";

export const entryId = (entry: EntryView): string => `${entry.of} ${entry.id}`;

const mark = (entry: EntryView): string => `${words.ground.signs[entry.verdict] ?? ""} ${entry.title}`.trim();

export function groundScene(ground: GroundView, selected: string | null): Scene | null {
  const outline = ground.outline;
  if (!outline) return null;
  const box = boxOf([outline.outer]) ?? noBox;
  const placed = ground.entries.filter((entry) => entry.places.length > 0);
  const lines = placed.filter((entry) => entry.places.length > 1);
  const points = placed.filter((entry) => entry.places.length === 1);
  const ring = (entry: EntryView) => ({ outer: entry.places.flat(), holes: [] });
  const strata: Stratum[] = [
    { rings: [outline], fill: "tint", stroke: "ink", width: 3.5 },
    { rings: lines.filter((entry) => entryId(entry) !== selected).map(ring), stroke: "ink", width: 2.5, dash: [10, 5], open: true },
    { rings: lines.filter((entry) => entryId(entry) === selected).map(ring), stroke: "accent", width: 4, open: true },
  ];
  return {
    box: padded(box, Math.max(box.x1 - box.x0, box.y1 - box.y0) * 0.04),
    strata,
    dims: [],
    notes: [...points.map((entry) => pointNote(entry, numberOf(entry, ground), selected)), ...lines.map((entry) => lineNote(entry))],
    targets: placed.map((entry): Target => ({ id: entryId(entry), name: mark(entry), ...(entry.places.length > 1 ? { segment: ends(entry) } : { at: entry.places[0] ?? [0, 0] }) })),
    told: [words.ground.told(ground.name, ground.verdict_words), ...placed.map(mark)].join(". "),
  };
}

/** Its number among what was said in the same form, as its title has it. */
function numberOf(entry: EntryView, ground: GroundView): string {
  return `${ground.entries.filter((one) => one.of === entry.of).indexOf(entry) + 1}`;
}

function ends(entry: EntryView): [Point, Point] {
  return [entry.places[0] ?? [0, 0], entry.places[entry.places.length - 1] ?? [0, 0]];
}

/** The number of a place on the drawing, with the sign of how it stands. */
function pointNote(entry: EntryView, number: string, selected: string | null): Note {
  const picked = entryId(entry) === selected;
  return { at: entry.places[0] ?? [0, 0], text: `${words.ground.signs[entry.verdict] ?? ""}${words.ground.letters[entry.of] ?? ""}${number}`, ink: picked ? "accent" : "ink", size: 15, bold: true, ringed: true, ground: "paper" };
}

function lineNote(entry: EntryView): Note {
  const [a, b] = ends(entry);
  return { at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], text: entry.title, ink: "ink", size: 14, bold: true, ground: "tint", shift: [0, -12] };
}
