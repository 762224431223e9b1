// Fingers, mouse and wheel, turned into camera moves and taps. One gesture at a time, no state outside it.
import { keepInSight, pan, zoomAt, type Box, type Camera, type Size } from "./camera.ts";

export interface Stage {
  camera(): Camera;
  box(): Box;
  size(): Size;
  /** A new camera; `settled` when nothing is moving any more. */
  moved(camera: Camera, settled: boolean): void;
  tapped(x: number, y: number): void;
  /** Whether something that can be dragged lies under the finger; it is dragged then, and the drawing stays. */
  grabs(x: number, y: number): boolean;
  dragged(x: number, y: number): void;
  dropped(): void;
}

/** A finger that moves less than this many pixels has tapped. */
const tapSlop = 9;
/** Milliseconds without a wheel event after which a zoom is over. */
const wheelRest = 120;

export function gestures(host: HTMLElement, stage: Stage): () => void {
  const fingers = new Map<number, { x: number; y: number }>();
  let travelled = 0;
  let grabbed = false;
  let resting: ReturnType<typeof setTimeout> | undefined;

  // Asked once a gesture: asking at every move would make the browser lay the page out in between.
  let frame = host.getBoundingClientRect();
  const local = (event: PointerEvent | WheelEvent): { x: number; y: number } => {
    return { x: event.clientX - frame.left - host.clientLeft, y: event.clientY - frame.top - host.clientTop };
  };
  const move = (camera: Camera, settled = false): void => stage.moved(keepInSight(camera, stage.box(), stage.size()), settled);

  function down(event: PointerEvent): void {
    if (event.button !== 0) return;
    host.setPointerCapture(event.pointerId);
    if (fingers.size === 0) frame = host.getBoundingClientRect();
    fingers.set(event.pointerId, local(event));
    travelled = fingers.size > 1 ? Infinity : 0;
    const at = fingers.get(event.pointerId);
    grabbed = fingers.size === 1 && at !== undefined && stage.grabs(at.x, at.y);
  }
  function drag(event: PointerEvent): void {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const now = local(event);
    const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
    fingers.set(event.pointerId, now);
    if (grabbed) return stage.dragged(now.x, now.y);
    if (other) return move(pinch(stage.camera(), before, now, other));
    travelled += Math.hypot(now.x - before.x, now.y - before.y);
    if (travelled > tapSlop) move(pan(stage.camera(), now.x - before.x, now.y - before.y));
  }
  function up(event: PointerEvent): void {
    const at = fingers.get(event.pointerId);
    if (!at) return;
    fingers.delete(event.pointerId);
    if (fingers.size > 0) return;
    if (grabbed) {
      grabbed = false;
      return stage.dropped();
    }
    if (event.type === "pointerup" && travelled <= tapSlop) stage.tapped(at.x, at.y);
    else move(stage.camera(), true);
  }
  function wheel(event: WheelEvent): void {
    event.preventDefault();
    if (fingers.size === 0) frame = host.getBoundingClientRect();
    const { x, y } = local(event);
    const step = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 24 : 1;
    move(zoomAt(stage.camera(), x, y, Math.exp(-event.deltaY * step * 0.0022)));
    clearTimeout(resting);
    resting = setTimeout(() => move(stage.camera(), true), wheelRest);
  }

  host.addEventListener("pointerdown", down);
  host.addEventListener("pointermove", drag);
  host.addEventListener("pointerup", up);
  host.addEventListener("pointercancel", up);
  host.addEventListener("wheel", wheel, { passive: false });
  return () => {
    clearTimeout(resting);
    host.removeEventListener("pointerdown", down);
    host.removeEventListener("pointermove", drag);
    host.removeEventListener("pointerup", up);
    host.removeEventListener("pointercancel", up);
    host.removeEventListener("wheel", wheel);
  };
}

/** Zooms by how far the fingers parted, about the finger that stays. */
function pinch(camera: Camera, before: { x: number; y: number }, now: { x: number; y: number }, other: { x: number; y: number }): Camera {
  const apart = Math.max(Math.hypot(before.x - other.x, before.y - other.y), 1);
  const factor = Math.hypot(now.x - other.x, now.y - other.y) / apart;
  return zoomAt(camera, other.x, other.y, factor);
}
