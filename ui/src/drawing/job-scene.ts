// The rooms of a job side by side on one sheet, all at the same scale.
import type { Point, RoomCard } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf, noBox } from "./camera.ts";
import { boxOfPoints, padded } from "./rings.ts";
import { ringOf, type Note, type Scene, type Stratum, type Target } from "./scene.ts";

/** Between two rooms on the sheet, in millimetres. */
const lane = 900;
/** A row of the sheet is about this many times as long as the rooms' mean side. */
const rowLength = 2.6;

interface Laid { room: RoomCard; points: Point[] }

export function jobScene(rooms: readonly RoomCard[]): Scene {
  const laid = sideBySide(rooms);
  const box = boxOf(laid.map(({ points }) => points.flat())) ?? noBox;
  const rings = (measured: boolean) => laid.filter(({ room }) => (room.outline !== null) === measured).map(({ points }) => ringOf(points));
  const strata: Stratum[] = [
    { rings: rings(true), fill: "tint", stroke: "ink", width: 3 },
    { rings: rings(false), stroke: "soft", width: 1.5, dash: [8, 6] },
  ];
  return {
    box: padded(box, 200),
    strata,
    dims: [],
    notes: laid.flatMap(notesOf),
    targets: laid.map(({ room, points }): Target => ({ id: room.id, name: room.name, ring: points.flat() })),
    told: rooms.map((room) => (room.outline ? words.job.outlineOf(room.name) : words.job.noOutlineOf(room.name))).join(". "),
  };
}

function sideBySide(rooms: readonly RoomCard[]): Laid[] {
  const shapes = rooms.map((room) => {
    const points: readonly Point[] = room.outline ?? [[0, 0], [3000, 0], [3000, 2400], [0, 2400]];
    return { room, points, box: boxOfPoints(points) };
  });
  const mean = shapes.reduce((sum, { box }) => sum + box.x1 - box.x0, 0) / Math.max(shapes.length, 1);
  const limit = mean * rowLength;
  let x = 0, y = 0, high = 0;
  return shapes.map(({ room, points, box }) => {
    const wide = box.x1 - box.x0;
    if (x > 0 && x + wide > limit) [x, y, high] = [0, y + high + lane, 0];
    const shifted = points.map(([px, py]): Point => [px - box.x0 + x, py - box.y0 + y]);
    x += wide + lane;
    high = Math.max(high, box.y1 - box.y0);
    return { room, points: shifted };
  });
}

function notesOf({ room, points }: Laid): Note[] {
  const box = boxOfPoints(points);
  const at: Point = [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2];
  const verdict = `${words.room.signs[room.verdict] ?? "▲"} ${words.room.verdicts[room.verdict] ?? room.verdict}`;
  const fits = (text: string, letter: number) => ({ mm: box.x1 - box.x0, atLeast: text.length * letter });
  return [
    { at, text: room.name, ink: "ink", size: 17, bold: true, shift: [0, -11], room: fits(room.name, 8) },
    { at, text: verdict, ink: "soft", size: 14, shift: [0, 11], room: fits(verdict, 6) },
  ];
}
