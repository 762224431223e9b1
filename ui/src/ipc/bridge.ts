// The way to the core from an ordinary browser: the bridge serves the same command table over HTTP.
import type { Door } from "./door.ts";
import type { CoreEvent } from "./types.ts";

export const door: Door = {
  async send(name, args, closing) {
    const answer = await fetch(`/call/${name}`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(args),
      // A request that is under way when the page goes must still arrive.
      keepalive: closing,
    });
    const body: unknown = await answer.json();
    if (answer.ok) return body;
    throw body;
  },
  listen(hear, missed) {
    let opened = false;
    const stream = new EventSource("/events");
    stream.onmessage = (message) => hear(JSON.parse(String(message.data)) as CoreEvent);
    stream.onopen = () => {
      if (opened) missed();
      opened = true;
    };
  },
};
