// The way to the core inside the app's own window: its commands and its events.
import { convertFileSrc, invoke } from "@tauri-apps/api/core";
import { listen } from "@tauri-apps/api/event";
import { words } from "../words/words.ts";
import type { Arrival, Bars, Door, Phone } from "./door.ts";
import type { CoreEvent } from "./types.ts";

const handOvers = [{ name: words.handOver.kind, extensions: ["handover"] }];
/** What other programs know a hand-over file by; as in the desktop's and the phone's lists. */
const handOverKind = "application/vnd.drylay.hand-over";
const onPhone = /\bAndroid\b/.test(navigator.userAgent);
const ask = <T>(name: string, args: object = {}): Promise<T> => invoke<T>("phone", { name, args });
const allowed = async (name: string): Promise<boolean> => (await ask<{ allowed: boolean }>(name)).allowed;

const phone: Phone = {
  bars(hear) {
    void listen<Bars>("drylay-bars", (message) => hear(message.payload));
    void ask<Bars>("bars").then(hear, () => {});
  },
  awake: (on) => ask("awake", { on }),
  darkIcons: (on) => ask("darkIcons", { on }),
  discover: (on) => ask("discover", { on }),
  nearby: (asking) => allowed(asking ? "askNearby" : "nearby"),
  notices: (asking) => allowed(asking ? "askNotices" : "notices"),
  remind: (key, words, at) => ask("remind", { key, words, at }),
  camera: async () => (await ask<{ path: string | null }>("camera")).path,
  photoLeft: async () => (await ask<{ path: string | null }>("photoLeft")).path,
  share: (path, kind) => ask("share", { path, kind }),
};

async function fetchArrivals(hear: (arrival: Arrival) => void): Promise<void> {
  (await invoke<Arrival[]>("arrived")).forEach(hear);
}

export const door: Door = {
  ...(onPhone ? { phone } : {}),
  arrivals(hear) {
    void listen("drylay-arrived", () => void fetchArrivals(hear));
    void fetchArrivals(hear);
  },
  send: (name, args) => invoke("call", { name, args }),
  listen(hear) {
    void listen<CoreEvent>("drylay", (message) => hear(message.payload));
  },
  async pictures() {
    const options = { multiple: true, filters: [{ name: words.photos.kind, extensions: ["jpg", "jpeg", "png", "webp"] }] };
    const chosen = await invoke<string[] | string | null>("plugin:dialog|open", { options });
    const paths = chosen === null ? [] : [chosen].flat();
    // A phone's pictures belong to other apps: they are copied to where the core can read them.
    return onPhone && paths.length > 0 ? (await ask<{ paths: string[] }>("takeIn", { addresses: paths })).paths : paths;
  },
  // On a phone a file is written where other apps may be lent it, and then shared.
  place: async (name) => (onPhone ? (await ask<{ path: string }>("toSend", { name })).path : await invoke<string | null>("plugin:dialog|save", { options: { defaultPath: name, filters: handOvers } })),
  written: async (path) => {
    if (onPhone) await ask("share", { path, kind: handOverKind });
  },
  async handed() {
    const options = { multiple: false, ...(onPhone ? {} : { filters: [...handOvers, { name: words.handOver.any, extensions: ["*"] }] }) };
    const chosen = await invoke<string | null>("plugin:dialog|open", { options });
    // A phone's files belong to other apps: one is copied to where the core can read it.
    return onPhone && chosen !== null ? ((await ask<{ paths: string[] }>("takeIn", { addresses: [chosen] })).paths[0] ?? null) : chosen;
  },
  // The name holds a stroke that must stay one.
  photoAddress: (name) => convertFileSrc("", "photo") + name,
  // The system opens papers, not the window.
  paperAddress: () => null,
};
