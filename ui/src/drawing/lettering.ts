// Paints dimension lines with ticks, and notes: everything that keeps its size on the screen.
import type { Point } from "../ipc/types.ts";
import { toScreen, type Camera } from "./camera.ts";
import { layDims, type LaidDim, type Measure } from "./dims.ts";
import type { Look } from "./look.ts";
import type { Note, Scene } from "./scene.ts";

const tick = 5;

/** One step of painting a line and its figure at a time. */
export function* dimSteps(ctx: CanvasRenderingContext2D, scene: Scene, camera: Camera, look: Look): Generator<void> {
  if (scene.dims.length === 0) return;
  const measure: Measure = (text, size, heavy) => {
    ctx.font = `${heavy ? 700 : 600} ${size}px ${look.family}`;
    return ctx.measureText(text).width;
  };
  const taken = scene.notes.filter((note) => note.ringed).map((note) => placeOf(note, camera));
  const laid = layDims(scene.dims, camera, look.figure, measure, taken);
  for (const one of laid) {
    paintLine(ctx, one, look);
    yield;
  }
  for (const one of laid) paintFigure(ctx, one, look);
}

function paintLine(ctx: CanvasRenderingContext2D, { dim, a, b, from, to, gap }: LaidDim, look: Look): void {
  ctx.save();
  ctx.strokeStyle = look.inks[dim.ink];
  ctx.lineWidth = look.weight * (dim.bold || dim.grand ? 1.6 : 1);
  if (dim.waiting) ctx.setLineDash([5, 4]);
  const along = (t: number): Point => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
  if (gap && gap[0] < 1 && gap[1] > 0) {
    if (gap[0] > 0) stretch(ctx, a, along(gap[0]));
    if (gap[1] < 1) stretch(ctx, along(gap[1]), b);
  } else stretch(ctx, a, b);
  ctx.setLineDash([]);
  if (dim.away !== 0) paintEnds(ctx, { a, b, from, to }, look);
  ctx.restore();
}

/** Extension lines from the wall to the dimension line, and a slanting tick at each end. */
function paintEnds(ctx: CanvasRenderingContext2D, { a, b, from, to }: Pick<LaidDim, "a" | "b" | "from" | "to">, look: Look): void {
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const ux = (b[0] - a[0]) / long, uy = (b[1] - a[1]) / long;
  const out = Math.hypot(a[0] - from[0], a[1] - from[1]) || 1;
  const nx = (a[0] - from[0]) / out, ny = (a[1] - from[1]) / out;
  for (const [start, end] of [[from, a], [to, b]] as const) {
    ctx.lineWidth = look.weight * 0.75;
    stretch(ctx, [start[0] + nx * 5, start[1] + ny * 5], [end[0] + nx * 5, end[1] + ny * 5]);
    ctx.lineWidth = look.weight * 2;
    const sx = (ux - uy) * tick, sy = (uy + ux) * tick;
    stretch(ctx, [end[0] - sx, end[1] - sy], [end[0] + sx, end[1] + sy]);
  }
}

function paintFigure(ctx: CanvasRenderingContext2D, { dim, text, size, at, turn }: LaidDim, look: Look): void {
  if (!text) return;
  ctx.save();
  ctx.font = `${dim.bold || dim.grand ? 700 : 600} ${size}px ${look.family}`;
  ctx.translate(at[0], at[1]);
  ctx.rotate(turn);
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  ctx.lineJoin = "round";
  ctx.lineWidth = size * 0.34;
  ctx.strokeStyle = look.inks[dim.ground ?? "paper"];
  ctx.strokeText(text, 0, 1);
  ctx.fillStyle = look.inks[dim.ink];
  ctx.fillText(text, 0, 1);
  ctx.restore();
}

function placeOf(note: Note, camera: Camera): Point {
  const [x, y] = toScreen(camera, note.at[0], note.at[1]);
  return [x + (note.shift?.[0] ?? 0), y + (note.shift?.[1] ?? 0)];
}

export function paintNote(ctx: CanvasRenderingContext2D, note: Note, camera: Camera, look: Look): void {
  const [x, y] = placeOf(note, camera);
  ctx.font = `${note.bold || note.ringed ? 700 : 500} ${note.size}px ${look.family}`;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  if (note.ringed) {
    // A ring round a letter or two; what is longer gets one as long as it needs.
    const radius = note.size * 0.82;
    const straight = Math.max(0, ctx.measureText(note.text).width / 2 - note.size * 0.55);
    ctx.beginPath();
    ctx.arc(x + straight, y, radius, -Math.PI / 2, Math.PI / 2);
    ctx.arc(x - straight, y, radius, Math.PI / 2, -Math.PI / 2);
    ctx.closePath();
    ctx.fillStyle = look.inks.paper;
    ctx.fill();
    ctx.strokeStyle = look.inks[note.ink];
    ctx.lineWidth = look.weight * 1.25;
    ctx.stroke();
  } else if (note.ground) {
    ctx.lineJoin = "round";
    ctx.lineWidth = note.size * 0.4;
    ctx.strokeStyle = look.inks[note.ground];
    ctx.strokeText(note.text, x, y + 1);
  }
  ctx.fillStyle = look.inks[note.ink];
  ctx.fillText(note.text, x, y + 1);
}

function stretch(ctx: CanvasRenderingContext2D, a: Point, b: Point): void {
  ctx.beginPath();
  ctx.moveTo(a[0], a[1]);
  ctx.lineTo(b[0], b[1]);
  ctx.stroke();
}
