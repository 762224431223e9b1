// Dimension lines with ticks, and notes: everything that keeps its size on the screen.
import type { Point } from "../ipc/types.ts";
import { toScreen, type Camera } from "./camera.ts";
import type { Look } from "./look.ts";
import type { Dim, Note } from "./scene.ts";

const tick = 5;

export function paintDim(ctx: CanvasRenderingContext2D, dim: Dim, camera: Camera, look: Look): void {
  const line = dimLine(dim, camera);
  if (!line) return;
  const { a, b, ux, uy, nx, ny, from, to } = line;
  ctx.save();
  ctx.strokeStyle = look.inks[dim.ink];
  ctx.lineWidth = look.weight * (dim.bold || dim.grand ? 1.6 : 1);
  if (dim.waiting) ctx.setLineDash([4, 4]);
  stretch(ctx, a, b);
  ctx.setLineDash([]);
  ctx.lineWidth = look.weight * 0.75;
  const over = Math.sign(dim.away) * 4;
  if (dim.away !== 0) {
    stretch(ctx, [from[0] + nx * over, from[1] + ny * over], [a[0] + nx * over, a[1] + ny * over]);
    stretch(ctx, [to[0] + nx * over, to[1] + ny * over], [b[0] + nx * over, b[1] + ny * over]);
  }
  ctx.lineWidth = look.weight * 2;
  for (const end of [a, b]) {
    stretch(ctx, [end[0] - (ux - nx) * tick, end[1] - (uy - ny) * tick], [end[0] + (ux - nx) * tick, end[1] + (uy - ny) * tick]);
  }
  ctx.restore();
  paintFigure(ctx, dim, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], Math.atan2(uy, ux), Math.hypot(b[0] - a[0], b[1] - a[1]), look);
}

/** The dimension line's ends on the screen, its unit vectors, and the points it measures. */
function dimLine(dim: Dim, camera: Camera) {
  const from = toScreen(camera, dim.a[0], dim.a[1]);
  const to = toScreen(camera, dim.b[0], dim.b[1]);
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (long < 2) return null;
  const ux = (to[0] - from[0]) / long, uy = (to[1] - from[1]) / long;
  const nx = uy, ny = -ux;
  const shift = (p: Point): Point => [p[0] + nx * dim.away, p[1] + ny * dim.away];
  return { a: shift(from), b: shift(to), ux, uy, nx, ny, from, to };
}

/** The figure in the line, turned so that it reads from below or from the right. */
function paintFigure(ctx: CanvasRenderingContext2D, dim: Dim, at: Point, angle: number, long: number, look: Look): void {
  if (!dim.text) return;
  let size = look.figure * (dim.grand ? 1.75 : dim.bold ? 1.15 : 1);
  const text = dim.flag ? `▲ ${dim.text}` : dim.text;
  ctx.save();
  ctx.font = `${dim.bold || dim.grand ? 700 : 600} ${size}px ${look.family}`;
  let width = ctx.measureText(text).width;
  if (width > long * 1.4 && width > 40) {
    size = Math.max(size * 0.78, 12);
    ctx.font = `600 ${size}px ${look.family}`;
    width = ctx.measureText(text).width;
  }
  ctx.translate(at[0], at[1]);
  const turned = angle > Math.PI / 2 + 0.01 || angle <= -Math.PI / 2 - 0.01 ? angle + Math.PI : angle;
  ctx.rotate(Math.abs(turned - Math.PI / 2) < 0.02 ? -Math.PI / 2 : turned);
  ctx.fillStyle = look.inks.paper;
  ctx.fillRect(-width / 2 - 5, -size * 0.62, width + 10, size * 1.24);
  ctx.fillStyle = look.inks[dim.ink];
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  ctx.fillText(text, 0, 1);
  ctx.restore();
}

export function paintNote(ctx: CanvasRenderingContext2D, note: Note, camera: Camera, look: Look): void {
  if (note.room && note.room.mm * camera.scale < note.room.atLeast) return;
  const [x, y] = toScreen(camera, note.at[0], note.at[1]);
  const px = x + (note.shift?.[0] ?? 0), py = y + (note.shift?.[1] ?? 0);
  ctx.font = `${note.bold || note.ringed ? 700 : 500} ${note.size}px ${look.family}`;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  if (note.ringed) {
    ctx.beginPath();
    ctx.arc(px, py, note.size * 0.82, 0, 7);
    ctx.fillStyle = look.inks.paper;
    ctx.fill();
    ctx.strokeStyle = look.inks[note.ink];
    ctx.lineWidth = look.weight * 1.25;
    ctx.stroke();
  }
  ctx.fillStyle = look.inks[note.ink];
  ctx.fillText(note.text, px, py + 1);
}

function stretch(ctx: CanvasRenderingContext2D, a: Point, b: Point): void {
  ctx.beginPath();
  ctx.moveTo(a[0], a[1]);
  ctx.lineTo(b[0], b[1]);
  ctx.stroke();
}
