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
  async pictures() {
    const files = await chosenFiles("image/jpeg,image/png,image/webp", true);
    return Promise.all(files.map(upload));
  },
  // The core writes over an empty file in the bridge's folder; what stands there then is the browser's to keep.
  place: () => upload(new File([], "")),
  async written(path, name) {
    const answer = await fetch(`/passed/${path.slice(path.lastIndexOf("/") + 1)}`);
    const link = document.createElement("a");
    [link.href, link.download] = [URL.createObjectURL(await answer.blob()), name];
    link.click();
    URL.revokeObjectURL(link.href);
  },
  async handed() {
    const [file] = await chosenFiles("", false);
    return file ? upload(file) : null;
  },
  photoAddress: (hash) => `/photo/${hash}`,
  paperAddress: (name) => `/paper/${name}`,
};

function chosenFiles(accept: string, multiple: boolean): Promise<File[]> {
  const input = document.createElement("input");
  [input.type, input.multiple, input.accept] = ["file", multiple, accept];
  return new Promise((resolve) => {
    input.onchange = () => resolve([...(input.files ?? [])]);
    input.oncancel = () => resolve([]);
    input.click();
  });
}

/** A browser gives no path: the bridge keeps the bytes and answers with one. */
async function upload(file: File): Promise<string> {
  const answer = await fetch("/upload", { method: "POST", body: file });
  const body = (await answer.json()) as { path: string };
  if (!answer.ok) throw body;
  return body.path;
}
