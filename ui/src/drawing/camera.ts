// The camera between plan coordinates (millimetres, y down the page) and the screen (CSS pixels).
// Branded numbers keep the two apart; every function is pure.

export type Mm = number & { readonly space?: "plan" };
export type Px = number & { readonly space?: "screen" };
export interface Camera { readonly scale: number; readonly left: Mm; readonly top: Mm }
export interface Box { readonly x0: Mm; readonly y0: Mm; readonly x1: Mm; readonly y1: Mm }
export interface Size { readonly width: Px; readonly height: Px }
export interface Insets { readonly top: Px; readonly right: Px; readonly bottom: Px; readonly left: Px }

export const noBox: Box = { x0: 0, y0: 0, x1: 1000, y1: 1000 };
const closest = 6; // px per mm: a sixteenth of an inch is about ten pixels
const farthest = 0.002; // a kilometre on a phone

export function toScreen(camera: Camera, x: Mm, y: Mm): [Px, Px] {
  return [(x - camera.left) * camera.scale, (y - camera.top) * camera.scale];
}

export function toPlan(camera: Camera, x: Px, y: Px): [Mm, Mm] {
  return [camera.left + x / camera.scale, camera.top + y / camera.scale];
}

/** The camera that shows all of `box` inside `size`, clear of the insets. */
export function fit(box: Box, size: Size, insets: Insets): Camera {
  const wide = Math.max(size.width - insets.left - insets.right, 16);
  const high = Math.max(size.height - insets.top - insets.bottom, 16);
  const scale = clampScale(Math.min(wide / Math.max(box.x1 - box.x0, 1), high / Math.max(box.y1 - box.y0, 1)));
  const midX = insets.left + wide / 2;
  const midY = insets.top + high / 2;
  return { scale, left: (box.x0 + box.x1) / 2 - midX / scale, top: (box.y0 + box.y1) / 2 - midY / scale };
}

export function pan(camera: Camera, dx: Px, dy: Px): Camera {
  return { scale: camera.scale, left: camera.left - dx / camera.scale, top: camera.top - dy / camera.scale };
}

/** Zooms by `factor` so that the plan point under (x, y) stays there. */
export function zoomAt(camera: Camera, x: Px, y: Px, factor: number): Camera {
  const scale = clampScale(camera.scale * factor);
  const [planX, planY] = toPlan(camera, x, y);
  return { scale, left: planX - x / scale, top: planY - y / scale };
}

/** Keeps at least a corner of the drawing on the screen, so that it cannot be lost. */
export function keepInSight(camera: Camera, box: Box, size: Size): Camera {
  const hold = 48 / camera.scale;
  const left = Math.min(Math.max(camera.left, box.x0 + hold - size.width / camera.scale), box.x1 - hold);
  const top = Math.min(Math.max(camera.top, box.y0 + hold - size.height / camera.scale), box.y1 - hold);
  return { scale: camera.scale, left, top };
}

/** Where a picture painted for `painted` has to be put to look as `now` does: scale, then shift. */
export function carry(painted: Camera, now: Camera): { scale: number; dx: Px; dy: Px } {
  const scale = now.scale / painted.scale;
  return { scale, dx: (painted.left - now.left) * now.scale, dy: (painted.top - now.top) * now.scale };
}

/** How high a box is for its width. */
export const heightOver = (box: Box): number => (box.y1 - box.y0) / Math.max(box.x1 - box.x0, 1);

export function boxOf(rings: Iterable<ArrayLike<number>>): Box | null {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
  for (const ring of rings) {
    for (let i = 0; i + 1 < ring.length; i += 2) {
      const x = ring[i] ?? 0, y = ring[i + 1] ?? 0;
      if (x < x0) x0 = x;
      if (x > x1) x1 = x;
      if (y < y0) y0 = y;
      if (y > y1) y1 = y;
    }
  }
  return x0 <= x1 ? { x0, y0, x1, y1 } : null;
}

function clampScale(scale: number): number {
  return Math.min(Math.max(scale, farthest), closest);
}
