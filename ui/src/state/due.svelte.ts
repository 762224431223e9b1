// What is due next of all that waits: one timer to that moment, no asking in between.
import { phone } from "../ipc/client.ts";
import type { GroutView } from "../ipc/types.ts";

/** The longest that a window's timer can wait, in milliseconds. */
const longest = 2 ** 31 - 1;

class Due {
  /** What has just come due, until somebody has seen it. */
  said = $state<string | null>(null);
  #timer: ReturnType<typeof setTimeout> | undefined;
  /** Asks again what is due, where a screen shows it. */
  again: (() => void) | null = null;

  /** Waits for what this view says is due next. A phone is told as well: it says so while the app is closed. */
  wait(view: GroutView, floor: string): void {
    clearTimeout(this.#timer);
    const at = view.next_in_ms === null ? null : Date.now() + Math.max(view.next_in_ms, 0);
    void phone?.remind(floor, view.next_words, at).catch(() => {});
    if (view.next_in_ms === null) return;
    const over = view.next_in_ms > longest;
    const words = view.next_words;
    this.#timer = setTimeout(() => (over ? this.again?.() : this.#tell(words)), Math.min(Math.max(view.next_in_ms, 0) + 500, longest));
  }

  #tell(words: string): void {
    this.said = words;
    navigator.vibrate?.(400);
    if ("Notification" in window && Notification.permission === "granted") new Notification(words);
    this.again?.();
  }
}

export const due = new Due();

/** Whether the system may be asked to show what is due outside the window; it may not everywhere. */
export async function canAsk(): Promise<boolean> {
  if (phone) return !(await phone.notices(false));
  return "Notification" in window && Notification.permission === "default";
}

/** Asks for it. */
export async function askNotices(): Promise<void> {
  if (phone) await phone.notices(true);
  else await Notification.requestPermission();
}
