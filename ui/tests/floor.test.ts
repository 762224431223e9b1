// The straightedge on the drawing, the hatches of the map, and the address of a floor.
import { describe, expect, it, test } from "vitest";
import { fit } from "../src/drawing/camera.ts";
import { floorScene, profileScene, readable } from "../src/drawing/floor-scene.ts";
import { bandHatch, spacingOf } from "../src/drawing/hatch.ts";
import { grabAt, moved, turned, type Edge } from "../src/drawing/grips.ts";
import type { FloorView } from "../src/ipc/types.ts";
import type { Note } from "../src/drawing/scene.ts";
import { parsePlace, writePlace } from "../src/state/address.ts";

const edge: Edge = [[1000, 1000], [3000, 1000]];
const camera = fit({ x0: 0, y0: 0, x1: 4000, y1: 3000 }, { width: 400, height: 300 }, { top: 0, right: 0, bottom: 0, left: 0 });

test("a finger takes hold of the nearest end or the middle, or of nothing", () => {
  expect(grabAt(edge, camera, 104, 96)?.end).toBe("first");
  expect(grabAt(edge, camera, 296, 110)?.end).toBe("second");
  expect(grabAt(edge, camera, 201, 101)?.end).toBe("middle");
  expect(grabAt(edge, camera, 150, 220)).toBeNull();
});

test("an end that is dragged leaves the other where it is; the middle takes both along", () => {
  expect(moved(edge, { end: "first" }, [500, 2000])).toEqual([[500, 2000], [3000, 1000]]);
  expect(moved(edge, { end: "middle" }, [2500, 1500])).toEqual([[1500, 1500], [3500, 1500]]);
});

test("a straightedge turned a quarter stands on its middle and keeps its length", () => {
  const [a, b] = turned(edge, 90);
  expect(a[0]).toBeCloseTo(2000, 6);
  expect(a[1]).toBeCloseTo(0, 6);
  expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeCloseTo(2000, 6);
});

test.each([1, 2, 3, 5, 8])("of %i bands below the highest, each lower one has denser lines, on the drawing as in the key", (deepest) => {
  for (const off of [false, true]) {
    const hatches = Array.from({ length: deepest }, (_, i) => bandHatch(i + 1, deepest, off));
    const apart = hatches.map((hatch) => (hatch ? spacingOf(hatch) : Infinity));
    expect(apart.every((spacing, i) => i === 0 || spacing < (apart[i - 1] ?? 0))).toBe(true);
    expect(hatches.every((hatch) => hatch?.startsWith(off ? "off" : "low"))).toBe(true);
  }
  expect(bandHatch(0, deepest, false)).toBeNull();
});

test("the profile draws the floor below the straightedge, with the gap where the core found it", () => {
  const scene = profileScene([[0, 0], [500, -8], [1000, 0]], [[0, 0], [1000, 0]], 500, "8.0 mm", "told");
  expect(scene.notes.map((note) => note.text)).toEqual(["8.0 mm"]);
  const [floor, rail] = scene.strata;
  expect(floor?.rings[0]?.outer[3]).toBeGreaterThan(rail?.rings[0]?.outer[1] ?? 0);
  expect(profileScene([[0, 0], [1000, 0]], [[0, 0], [1000, 0]], 0, "0.0 mm", "").notes).toEqual([]);
});

test("a floor has an address of its own beside its room's", () => {
  const place = { screen: "floor", job: "j", room: "r" } as const;
  expect(parsePlace(writePlace(place))).toEqual(place);
  expect(parsePlace("#/job/j/room/r")).toEqual({ screen: "room", job: "j", room: "r" });
});

describe("figures of a floor", () => {
  const note = (x: number, y: number, text: string, shift?: [number, number]): Note => ({ at: [x, y], text, ink: "ink", size: 14, ...(shift ? { shift } : {}) });
  const least = (...notes: Note[]) => readable(notes).map((one) => one.room?.atLeast ?? 0);

  it("show where the plan is large enough for both", () => {
    // Two figures of four signs, 0.27 of their height for each sign on either side, and three pixels between them.
    const [first, second] = least(note(0, 0, "1/16"), note(300, 0, "1/16"));
    expect(first).toBe(0);
    expect(second).toBeCloseTo((8 * 0.27 * 14 + 3) / 300, 9);
    expect(least(note(0, 0, "1/16"), note(0, 700, "1/16"))[1]).toBeCloseTo(14 / 700, 9);
  });

  it("are told apart by what was moved off a wall too", () => {
    const [, near] = least(note(0, 0, "1/16", [13, 0]), note(300, 0, "1/16"));
    const [, far] = least(note(0, 0, "1/16", [-13, 0]), note(300, 0, "1/16"));
    expect(near).toBeCloseTo((8 * 0.27 * 14 + 3 + 13) / 300, 9);
    expect(far).toBeCloseTo((8 * 0.27 * 14 + 3 - 13) / 300, 9);
  });

  it("that show at a scale of their own show no sooner", () => {
    const [, line] = readable([note(0, 0, "1/16"), { ...note(5000, 5000, "1/8"), room: { mm: 600, atLeast: 56 } }]);
    expect(line?.room).toEqual({ mm: 1, atLeast: 56 / 600 });
  });

  it("of a line of one height stand where no reading is", () => {
    const read = [[0, 0], [1000, 0], [2000, 0]].map(([x = 0, y = 0], i) => ({ id: `${i}`, label: `${i}`, at: [x, y], z: 0, text: "3/16", words: "" }));
    const map = { step_text: "", bands: [], contours: [{ text: "1/8", chains: [[0, 0, 1000, 0, 2000, 0]] }] };
    const floor = { name: "", verdict_words: "", read_words: "", outline: null, points: read, stations: [], keepouts: [], straightedges: [], again: [], correction: null, map } as unknown as FloorView;
    const { notes } = floorScene(floor, { kind: "heights", worst: null, reading: null });
    expect(notes.map((one) => one.text)).toEqual(["3/16", "3/16", "3/16", "1/8"]);
    expect(notes[3]?.at[0]).toBe(500);
  });

  it("at one place show once", () => {
    expect(least(note(5, 5, "1/8"), note(5, 5, "1/4"))).toEqual([0, Infinity]);
  });
});
