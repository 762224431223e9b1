// The way to the core inside the app's own window: one command, one event stream.
import { invoke } from "@tauri-apps/api/core";
import { listen } from "@tauri-apps/api/event";
import type { Door } from "./door.ts";
import type { CoreEvent } from "./types.ts";

export const door: Door = {
  send: (name, args) => invoke("call", { name, args }),
  listen(hear) {
    void listen<CoreEvent>("drylay", (message) => hear(message.payload));
  },
};
