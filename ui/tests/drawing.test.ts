// The drawing's pure parts: the camera there and back, what a finger hits, where figures go, the walked sketch.
import { describe, expect, it } from "vitest";
import { boxOf, carry, fit, keepInSight, pan, toPlan, toScreen, zoomAt, type Camera } from "../src/drawing/camera.ts";
import { Pen, readStrokes, strokePath } from "../src/drawing/pen.ts";
import { layDims } from "../src/drawing/dims.ts";
import { inRing, neighbour, targetAt } from "../src/drawing/hit.ts";
import type { Dim, Target } from "../src/drawing/scene.ts";
import { sketchOf } from "../src/drawing/walk.ts";
import type { CornerView, Point, WallView } from "../src/ipc/types.ts";

const camera: Camera = { scale: 0.13, left: -250, top: 900 };
const box = { x0: 0, y0: 0, x1: 5200, y1: 4300 };
const insets = { top: 10, right: 20, bottom: 30, left: 40 };

describe("camera", () => {
  it("comes back from the screen to the same point", () => {
    const [x, y] = toPlan(camera, ...toScreen(camera, 1234.5, -77));
    expect(x).toBeCloseTo(1234.5, 9);
    expect(y).toBeCloseTo(-77, 9);
  });
  it("shows the whole box inside the insets", () => {
    const fitted = fit(box, { width: 412, height: 380 }, insets);
    const [x0, y0] = toScreen(fitted, box.x0, box.y0), [x1, y1] = toScreen(fitted, box.x1, box.y1);
    expect(x0).toBeGreaterThanOrEqual(40 - 1e-9);
    expect(y0).toBeGreaterThanOrEqual(10 - 1e-9);
    expect(x1).toBeLessThanOrEqual(392 + 1e-9);
    expect(y1).toBeLessThanOrEqual(350 + 1e-9);
    expect(Math.min(x0 - 40, y0 - 10)).toBeLessThan(1e-6);
  });
  it("keeps the point under the finger while it zooms", () => {
    const before = toPlan(camera, 150, 220);
    const after = toPlan(zoomAt(camera, 150, 220, 1.7), 150, 220);
    expect(after[0]).toBeCloseTo(before[0], 9);
    expect(after[1]).toBeCloseTo(before[1], 9);
  });
  it("never loses the drawing", () => {
    const far = keepInSight(pan(camera, 1e7, -1e7), box, { width: 412, height: 380 });
    const [x0, y0] = toScreen(far, box.x0, box.y0), [x1, y1] = toScreen(far, box.x1, box.y1);
    expect(x0).toBeLessThan(412);
    expect(y1).toBeGreaterThan(0);
    expect(x1 > 0 && y0 < 380).toBe(true);
  });
  it("carries a painted picture to where the new camera wants it", () => {
    const now = zoomAt(pan(camera, 37, -12), 100, 90, 1.21);
    const { scale, dx, dy } = carry(camera, now);
    const [px, py] = toScreen(camera, 800, 1500), [x, y] = toScreen(now, 800, 1500);
    expect(px * scale + dx).toBeCloseTo(x, 9);
    expect(py * scale + dy).toBeCloseTo(y, 9);
  });
});

describe("hit", () => {
  const ring = [0, 0, 100, 0, 100, 50, 0, 50];
  const targets: Target[] = [
    { id: "floor", name: "floor", ring: [0, 0, 1000, 0, 1000, 1000, 0, 1000], holes: [[400, 400, 600, 400, 600, 600, 400, 600]] },
    { id: "tile", name: "tile", ring },
    { id: "wall", name: "wall", segment: [[0, 1000], [1000, 1000]] },
  ];
  it.each([
    ["the upper of two areas", 50, 25, "tile"],
    ["the area below elsewhere", 300, 300, "floor"],
    ["nothing in a hole", 500, 500, null],
    ["a line within reach before an area", 500, 985, "wall"],
    ["nothing outside", -300, -300, null],
  ] as const)("finds %s", (_, x, y, id) => expect(targetAt(targets, x, y, 24)?.id ?? null).toBe(id));
  it("goes from part to part with the arrow keys", () => {
    const cells = [0, 1, 2, 3].map((i): Target => ({ id: `${i}`, name: "", at: [(i % 2) * 100, Math.floor(i / 2) * 100] }));
    expect(neighbour(cells, "0", "ArrowRight")?.id).toBe("1");
    expect(neighbour(cells, "0", "ArrowDown")?.id).toBe("2");
    expect(neighbour(cells, "3", "ArrowLeft")?.id).toBe("2");
    expect(neighbour(cells, "0", "ArrowUp")).toBeNull();
    expect(neighbour(cells, null, "ArrowUp")?.id).toBe("0");
  });
  it("knows inside from outside of a ring with a notch", () => {
    const notched = [0, 0, 10, 0, 10, 4, 6, 4, 6, 10, 0, 10];
    expect(inRing(notched, 3, 8)).toBe(true);
    expect(inRing(notched, 8, 8)).toBe(false);
  });
});

describe("figures of dimension lines", () => {
  const measure = (text: string, size: number): number => text.length * size * 0.5;
  const dim = (a: Point, b: Point, away = 30): Dim => ({ a, b, away, text: `12' 3 1/2"`, ink: "ink" });
  it("do not cover one another at a notch", () => {
    const laid = layDims([dim([3100, 2600], [5200, 2600], -30), dim([3100, 4300], [3100, 2600], -30)], { scale: 0.05, left: 0, top: 0 }, 16, measure);
    expect(laid).toHaveLength(2);
    const [p, q] = laid.map((one) => one.at) as [Point, Point];
    expect(Math.hypot(p[0] - q[0], p[1] - q[1])).toBeGreaterThan(16);
  });
  it("stand over a line too short for them, clear of it, and leave a gap in one that holds them", () => {
    const [short, long] = layDims([dim([0, 0], [400, 0]), dim([0, 3000], [4000, 3000])], { scale: 0.1, left: 0, top: 0 }, 16, measure);
    expect(short?.gap).toBeNull();
    expect(short?.at[1]).toBeLessThan(-30 - 16 / 2);
    const [g0, g1] = long?.gap ?? [0, 0];
    expect((g1 - g0) * 400).toBeGreaterThanOrEqual(long?.width ?? Infinity);
  });
  it("of two ties in a narrow room never lie over one another, nor over a wall", () => {
    const w = 1255, h = 5330;
    const walls = ([[[0, 0], [w, 0]], [[w, 0], [w, h]], [[w, h], [0, h]], [[0, h], [0, 0]]] as [Point, Point][]).map(([a, b]) => dim(a, b));
    const tie = (a: Point, b: Point): Dim => ({ ...dim(a, b, 0), ink: "soft" });
    const laid = layDims([...walls, tie([0, 0], [w, h]), tie([w, 0], [0, h])], { scale: 0.037, left: 0, top: 0 }, 17, measure);
    const shown = laid.filter((one) => one.dim.away === 0 && one.text !== "");
    for (const { at, width, turn, size } of shown) {
      const [x0, x1] = [-1, 1].map((side) => at[0] + (side * Math.cos(turn) * width) / 2) as [number, number];
      expect(Math.min(x0, x1)).toBeGreaterThan(-size / 2);
      expect(Math.max(x0, x1)).toBeLessThan(w * 0.037 + size / 2);
    }
    if (shown.length === 2) expect(Math.hypot((shown[0]?.at[0] ?? 0) - (shown[1]?.at[0] ?? 0), (shown[0]?.at[1] ?? 0) - (shown[1]?.at[1] ?? 0))).toBeGreaterThan(17);
    expect(laid).toHaveLength(6);
  });
  it("leave out what has no length, and stand in the middle of a long line", () => {
    const laid = layDims([dim([0, 0], [0, 0]), dim([0, 0], [4000, 0])], { scale: 0.1, left: 0, top: 0 }, 16, measure);
    expect(laid).toHaveLength(1);
    expect(laid[0]?.at).toEqual([200, -30]);
  });
});

describe("the walked sketch", () => {
  const corner = (id: string, turn: "in" | "out" = "in"): CornerView => ({ id, turn, square: false, at: null, sd: null, angle_text: null });
  const wall = (from: string, to: string, mm: number | null): WallView => ({
    from, to, adjusted_text: null,
    reading: mm === null ? null : { id: "", from, to, kind: "wall", text: "", mm, stamp: { by: "", at: "", zone_minutes: 0 }, residual_text: null, w: null, suspect: false, touched: null, height: null, corrected_text: null, says: null, earlier: [], conflict: [], others: [] },
  });
  // Shoelace formula for the area of a polygon (any surveying textbook).
  const area = (points: readonly Point[]): number =>
    points.reduce((sum, [x, y], i) => {
      const [nx, ny] = points[(i + 1) % points.length] ?? [0, 0];
      return sum + x * ny - nx * y;
    }, 0) / 2;
  it("closes a rectangle from its first two walls", () => {
    const { points, guessed } = sketchOf(["A", "B", "C", "D"].map((id) => corner(id)), [wall("A", "B", 4000), wall("B", "C", 3000), wall("C", "D", null), wall("D", "A", null)]);
    expect(area(points)).toBeCloseTo(12e6, 3);
    expect(guessed).toEqual([false, false, true, true]);
  });
  it("turns back at an outside corner", () => {
    const ids = ["A", "B", "C", "D", "E", "F"];
    const lengths = [5200, 2600, 2100, 1700, null, null];
    const walls = ids.map((id, i) => wall(id, ids[(i + 1) % 6] ?? "A", lengths[i] ?? null));
    const { points } = sketchOf(ids.map((id) => corner(id, id === "D" ? "out" : "in")), walls);
    expect(area(points)).toBeCloseTo(5200 * 2600 + 3100 * 1700, 3);
  });
});

it("a box holds all its rings, and there is none of nothing", () => {
  expect(boxOf([[1, 2, 3, -4], [0, 9]])).toEqual({ x0: 0, y0: -4, x1: 3, y1: 9 });
  expect(boxOf([])).toBeNull();
});

describe("the pen", () => {
  const field = { width: 90, height: 36 };
  it("keeps what says something new, within its field, to a hundredth of a millimetre", () => {
    const pen = new Pen(field, []);
    pen.down([1.23456, 2]);
    expect(pen.drawn()).toBeNull();
    pen.to([1.3, 2.1]);
    expect(pen.drawn()).toBeNull();
    pen.to([5, 2]);
    pen.to([200, -3]);
    expect(pen.drawn()).toEqual({ width: 90, height: 36, strokes: [[[1.23, 2], [5, 2], [90, 0]]] });
  });
  it("goes on after what was drawn before, and a tap is no stroke", () => {
    const before: [number, number][][] = [[[0, 0], [1, 1]]];
    const pen = new Pen(field, before);
    pen.down([9, 9]);
    expect(pen.drawn()?.strokes).toEqual(before);
  });
  it("comes back from the text it was kept as, and from nothing else", () => {
    const drawn = { width: 90, height: 36, strokes: [[[1, 2], [3, 4]]] };
    expect(readStrokes(JSON.stringify(drawn))).toEqual(drawn);
    expect(["", "{", "null", "3", '{"strokes":1}'].map(readStrokes)).toEqual([null, null, null, null, null]);
    expect(strokePath([[1, 2], [3, 4]])).toBe("M1 2L3 4");
  });
});
