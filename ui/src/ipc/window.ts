// The way to the core inside the app's own window: one command, one event stream.
import { convertFileSrc, invoke } from "@tauri-apps/api/core";
import { listen } from "@tauri-apps/api/event";
import { words } from "../words/en.ts";
import type { Door } from "./door.ts";
import type { CoreEvent } from "./types.ts";

const handOvers = [{ name: words.handOver.kind, extensions: ["drylay"] }];

export const door: Door = {
  send: (name, args) => invoke("call", { name, args }),
  listen(hear) {
    void listen<CoreEvent>("drylay", (message) => hear(message.payload));
  },
  async pictures() {
    const options = { multiple: true, filters: [{ name: words.photos.kind, extensions: ["jpg", "jpeg", "png", "webp"] }] };
    const chosen = await invoke<string[] | string | null>("plugin:dialog|open", { options });
    return chosen === null ? [] : [chosen].flat();
  },
  place: (name) => invoke<string | null>("plugin:dialog|save", { options: { defaultPath: name, filters: handOvers } }),
  written: () => Promise.resolve(),
  handed: () => invoke<string | null>("plugin:dialog|open", { options: { multiple: false, filters: [...handOvers, { name: words.handOver.any, extensions: ["*"] }] } }),
  // The name holds a stroke that must stay one.
  photoAddress: (name) => convertFileSrc("", "photo") + name,
  // The system opens papers, not the window.
  paperAddress: () => null,
};
