// Keeps the screen on while a sheet is open: by the phone, or where the window can (Screen Wake Lock, W3C).
import { phone } from "../ipc/client.ts";

export class Awake {
  /** Whether the screen is held on; null until it is known. */
  held = $state<boolean | null>(null);
  #lock: WakeLockSentinel | null = null;
  #closed = false;
  #again = (): void => {
    // A lock ends by itself when the window is hidden.
    if (document.visibilityState === "visible") void this.#take();
  };

  constructor() {
    document.addEventListener("visibilitychange", this.#again);
    void this.#take();
  }

  close(): void {
    this.#closed = true;
    document.removeEventListener("visibilitychange", this.#again);
    void this.#lock?.release().catch(() => {});
    void phone?.awake(false).catch(() => {});
  }

  async #take(): Promise<void> {
    try {
      if (phone) {
        await phone.awake(true);
        if (this.#closed) return void phone.awake(false).catch(() => {});
        this.held = true;
        return;
      }
      if (!("wakeLock" in navigator)) throw new Error("none");
      const lock = await navigator.wakeLock.request("screen");
      if (this.#closed) return void lock.release();
      this.#lock = lock;
      this.held = true;
    } catch {
      this.held = false;
    }
  }
}
