// Keeps a picture of the scene larger than the window and carries it about while a finger moves: panning
// costs one transform a frame. The picture is renewed off screen, a slice a frame, and swapped when whole.
import { carry, type Camera, type Size } from "./camera.ts";
import { dimSteps, paintNote } from "./lettering.ts";
import { lookOf, type Look } from "./look.ts";
import type { Scene } from "./scene.ts";
import { strataSteps, type Sight } from "./strata.ts";

/** How far the picture reaches beyond the window, as a part of the window's size. */
const margin = 0.3;
/** Milliseconds of painting allowed in one frame while something moves. */
const slice = 1;
/** Steps allowed in one frame: what a step draws is only noted down, and the browser fills it in when the frame ends,
 * which costs several times as much and shows on no clock here. */
const steps = 2;

export class Painter {
  readonly #host: HTMLElement;
  #front: HTMLCanvasElement;
  #back: HTMLCanvasElement;
  #painted: Camera | null = null;
  #paintedSize: Size = { width: 0, height: 0 };
  #work: Generator<void> | null = null;
  #frame = 0;
  /** The camera last asked for, while a picture is being renewed. */
  #asked: Camera | null = null;

  constructor(host: HTMLElement) {
    this.#host = host;
    this.#front = this.#canvas();
    this.#back = this.#canvas();
    this.#back.style.display = "none";
  }

  #canvas(): HTMLCanvasElement {
    const canvas = document.createElement("canvas");
    canvas.setAttribute("aria-hidden", "true");
    canvas.style.cssText = "position:absolute;left:0;top:0;transform-origin:0 0;will-change:transform;pointer-events:none";
    this.#host.prepend(canvas);
    return canvas;
  }

  /** Paints everything now: for a changed scene, where an old picture would be wrong. */
  paintNow(scene: Scene, camera: Camera, size: Size): void {
    cancelAnimationFrame(this.#frame);
    this.#asked = camera;
    this.#work = this.#steps(scene, camera, size);
    while (this.#work && !this.#work.next().done);
    this.#work = null;
  }

  /** Shows the last picture from the new camera; renews it in slices when it no longer covers or is blurred. */
  move(scene: Scene, camera: Camera, size: Size, settled: boolean): void {
    if (!this.#painted) return this.paintNow(scene, camera, size);
    this.#asked = camera;
    this.#place(this.#front, this.#painted, camera);
    if (this.#work || (!settled && this.#covers(camera, size))) return;
    this.#work = this.#steps(scene, camera, size);
    this.#run();
  }

  stop(): void {
    cancelAnimationFrame(this.#frame);
    this.#front.remove();
    this.#back.remove();
  }

  #run(): void {
    const step = (): void => {
      const until = performance.now() + slice;
      for (let done = 0; this.#work && done < steps && performance.now() < until; done += 1) {
        if (this.#work.next().done) {
          this.#work = null;
          return;
        }
      }
      this.#frame = requestAnimationFrame(step);
    };
    this.#frame = requestAnimationFrame(step);
  }

  #covers(camera: Camera, size: Size): boolean {
    if (!this.#painted) return false;
    const { scale, dx, dy } = carry(this.#painted, camera);
    const mx = this.#paintedSize.width * margin * scale, my = this.#paintedSize.height * margin * scale;
    const near = 0.45;
    return (
      scale > 0.8 && scale < 1.4 &&
      dx < mx * near && dy < my * near &&
      dx + this.#paintedSize.width * scale > size.width - mx * near &&
      dy + this.#paintedSize.height * scale > size.height - my * near
    );
  }

  #place(canvas: HTMLCanvasElement, painted: Camera, camera: Camera): void {
    const { scale, dx, dy } = carry(painted, camera);
    const x = dx - this.#paintedSize.width * margin * scale, y = dy - this.#paintedSize.height * margin * scale;
    canvas.style.transform = `translate(${x}px,${y}px) scale(${scale})`;
  }

  *#steps(scene: Scene, camera: Camera, size: Size): Generator<void> {
    const density = Math.min(globalThis.devicePixelRatio || 1, 2);
    const canvas = this.#back;
    const wide = size.width * (1 + 2 * margin), high = size.height * (1 + 2 * margin);
    const pixelsWide = Math.max(1, Math.round(wide * density)), pixelsHigh = Math.max(1, Math.round(high * density));
    if (canvas.width !== pixelsWide || canvas.height !== pixelsHigh) {
      canvas.width = pixelsWide;
      canvas.height = pixelsHigh;
      canvas.style.width = `${wide}px`;
      canvas.style.height = `${high}px`;
      yield;
    }
    const ctx = canvas.getContext("2d");
    if (!ctx) return;
    const look = lookOf(this.#host);
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.clearRect(0, 0, canvas.width, canvas.height);
    ctx.setTransform(density, 0, 0, density, size.width * margin * density, size.height * margin * density);
    yield;
    yield* strataSteps(ctx, scene.strata, camera, look, density, sightOf(camera, size));
    yield* letteringSteps(ctx, scene, camera, size, look);
    this.#swap(camera, size);
  }

  #swap(camera: Camera, size: Size): void {
    const old = this.#front;
    this.#front = this.#back;
    this.#back = old;
    this.#painted = camera;
    this.#paintedSize = size;
    this.#place(this.#front, camera, this.#asked ?? camera);
    this.#front.style.display = "block";
    this.#back.style.display = "none";
  }
}

/** What of the plan the whole picture shows, its margin included. */
function sightOf(camera: Camera, size: Size): Sight {
  const wide = size.width / camera.scale, high = size.height / camera.scale;
  return {
    left: camera.left - margin * wide,
    top: camera.top - margin * high,
    right: camera.left + (1 + margin) * wide,
    bottom: camera.top + (1 + margin) * high,
  };
}

function* letteringSteps(ctx: CanvasRenderingContext2D, scene: Scene, camera: Camera, size: Size, look: Look): Generator<void> {
  const wide = size.width / camera.scale, high = size.height / camera.scale;
  const seen = scene.notes.filter(({ at, room }) => {
    if (room && room.mm * camera.scale < room.atLeast) return false;
    const x = (at[0] - camera.left) / wide, y = (at[1] - camera.top) / high;
    return x > -margin && x < 1 + margin && y > -margin && y < 1 + margin;
  });
  for (const note of seen) {
    paintNote(ctx, note, camera, look);
    yield;
  }
  yield* dimSteps(ctx, scene, camera, look);
}
