// Tap and hold: a finger that stays where it is asks for more about what lies under it.
import type { Action } from "svelte/action";

/** Milliseconds after which a press is a hold. */
const long = 480;
const slop = 8;

export const hold: Action<HTMLElement, () => void> = (node, held) => {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let act = held;
  let start = { x: 0, y: 0 };
  let fired = false;

  const down = (event: PointerEvent): void => {
    fired = false;
    start = { x: event.clientX, y: event.clientY };
    clearTimeout(timer);
    timer = setTimeout(() => {
      fired = true;
      act();
    }, long);
  };
  const move = (event: PointerEvent): void => {
    if (Math.hypot(event.clientX - start.x, event.clientY - start.y) > slop) clearTimeout(timer);
  };
  const end = (): void => clearTimeout(timer);
  const click = (event: MouseEvent): void => {
    if (!fired) return;
    fired = false;
    event.preventDefault();
    event.stopPropagation();
  };
  const menu = (event: Event): void => event.preventDefault();
  const on: [string, EventListener][] = [
    ["pointerdown", down as EventListener],
    ["pointermove", move as EventListener],
    ["pointerup", end],
    ["pointercancel", end],
    ["contextmenu", menu],
  ];
  for (const [name, listener] of on) node.addEventListener(name, listener);
  node.addEventListener("click", click, { capture: true });
  return {
    update: (next) => void (act = next),
    destroy: () => {
      clearTimeout(timer);
      for (const [name, listener] of on) node.removeEventListener(name, listener);
      node.removeEventListener("click", click, { capture: true });
    },
  };
};
