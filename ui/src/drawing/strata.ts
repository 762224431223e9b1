// Paints strata of rings. Paths are built once per stratum, in plan coordinates and in bunches, so that a
// large floor is painted a bunch at a time and no frame has to wait for all of it.
import type { Rings } from "../ipc/types.ts";
import type { Camera } from "./camera.ts";
import { levelOf, spacingOf } from "./hatch.ts";
import type { Look } from "./look.ts";
import type { Hatch, Stratum } from "./scene.ts";

const bunch = 30;
/** A rectangle in plan coordinates. */
export interface Sight {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

interface Bunch {
  path: Path2D;
  box: Sight;
}

const bunches = new WeakMap<Stratum, Bunch[]>();

function bunchesOf(stratum: Stratum): Bunch[] {
  const known = bunches.get(stratum);
  if (known) return known;
  const made: Bunch[] = [];
  for (let i = 0; i < stratum.rings.length; i += bunch) {
    const path = new Path2D();
    const some = stratum.rings.slice(i, i + bunch);
    for (const rings of some) trace(path, rings, !stratum.open);
    made.push({ path, box: boxOf(some) });
  }
  bunches.set(stratum, made);
  return made;
}

function boxOf(some: readonly Rings[]): Sight {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  for (const { outer } of some) {
    for (let i = 0; i + 1 < outer.length; i += 2) {
      const x = outer[i] ?? 0, y = outer[i + 1] ?? 0;
      box.left = Math.min(box.left, x);
      box.right = Math.max(box.right, x);
      box.top = Math.min(box.top, y);
      box.bottom = Math.max(box.bottom, y);
    }
  }
  return box;
}

/** Whether any of a bunch can be seen, its lines' width included. */
function inSight(box: Sight, sight: Sight, line: number): boolean {
  return box.left - line < sight.right && box.right + line > sight.left && box.top - line < sight.bottom && box.bottom + line > sight.top;
}

function trace(path: Path2D, rings: Rings, close: boolean): void {
  for (const ring of [rings.outer, ...rings.holes]) {
    for (let i = 0; i + 1 < ring.length; i += 2) {
      const x = ring[i] ?? 0, y = ring[i + 1] ?? 0;
      if (i === 0) path.moveTo(x, y);
      else path.lineTo(x, y);
    }
    if (close) path.closePath();
  }
}

/** One step of painting per bunch of rings that is in sight; each sets all the state it needs. */
export function* strataSteps(
  ctx: CanvasRenderingContext2D,
  strata: readonly Stratum[],
  camera: Camera,
  look: Look,
  density: number,
  sight: Sight,
): Generator<void> {
  for (const stratum of strata) {
    const fill = stratum.fill ? look.inks[stratum.fill] : null;
    const hatch = stratum.hatch ? hatchOf(ctx, stratum.hatch, camera, look, density) : null;
    const line = ((stratum.width ?? 1) * look.weight) / camera.scale;
    for (const { path, box } of bunchesOf(stratum)) {
      if (!inSight(box, sight, line)) continue;
      ctx.save();
      ctx.scale(camera.scale, camera.scale);
      ctx.translate(-camera.left, -camera.top);
      if (fill) {
        ctx.fillStyle = fill;
        ctx.fill(path, "evenodd");
      }
      if (hatch) {
        ctx.fillStyle = hatch;
        ctx.fill(path, "evenodd");
      }
      if (stratum.stroke) stroke(ctx, path, stratum, camera, look);
      ctx.restore();
      yield;
    }
  }
}

function stroke(ctx: CanvasRenderingContext2D, path: Path2D, stratum: Stratum, camera: Camera, look: Look): void {
  ctx.strokeStyle = look.inks[stratum.stroke ?? "ink"];
  ctx.lineWidth = ((stratum.width ?? 1) * look.weight) / camera.scale;
  ctx.lineJoin = "miter";
  ctx.setLineDash((stratum.dash ?? []).map((length) => length / camera.scale));
  ctx.stroke(path);
}

const cells = new Map<string, HTMLCanvasElement>();

/** A hatch whose spacing stays the same on the screen whatever the camera, anchored to the plan. */
function hatchOf(ctx: CanvasRenderingContext2D, hatch: Hatch, camera: Camera, look: Look, density: number): CanvasPattern | null {
  const ink = hatch === "waste" || hatch === "void" || levelOf(hatch) ? look.inks.soft : look.inks.line;
  const key = `${hatch} ${ink} ${look.weight} ${density}`;
  let cell = cells.get(key);
  if (!cell) {
    cell = hatchCell(hatch, ink, look.weight, density);
    cells.set(key, cell);
  }
  const pattern = ctx.createPattern(cell, "repeat");
  const size = 1 / (camera.scale * density);
  pattern?.setTransform(new DOMMatrix([size, 0, 0, size, 0, 0]));
  return pattern;
}

function hatchCell(hatch: Hatch, ink: string, weight: number, density: number): HTMLCanvasElement {
  const side = Math.round(spacingOf(hatch) * density);
  const cell = document.createElement("canvas");
  cell.width = cell.height = side;
  const ctx = cell.getContext("2d");
  if (!ctx) return cell;
  ctx.strokeStyle = ctx.fillStyle = ink;
  ctx.lineWidth = weight * density;
  const line = (x0: number, y0: number, x1: number, y1: number): void => {
    ctx.beginPath();
    ctx.moveTo(x0, y0);
    ctx.lineTo(x1, y1);
    ctx.stroke();
  };
  const mid = side / 2;
  const level = levelOf(hatch);
  const crossed = hatch === "crossed" || level?.off === true;
  if (hatch === "along" || crossed) line(0, mid, side, mid);
  if (hatch === "across" || crossed) line(mid, 0, mid, side);
  if (hatch === "dots") ctx.fillRect(mid - weight * density, mid - weight * density, 2 * weight * density, 2 * weight * density);
  if (hatch === "waste" || level?.off === false) {
    line(-side, side, side, -side);
    line(0, side, side, 0);
    line(0, 2 * side, 2 * side, 0);
  }
  if (hatch === "void") {
    line(-side, 0, side, 2 * side);
    line(0, 0, side, side);
    line(0, -side, 2 * side, side);
  }
  return cell;
}
