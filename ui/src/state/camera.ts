// A photo that the phone's own camera takes: what it is to be pinned to is written down first, since the system may end the
// app while the camera is open.
import { phone, photograph } from "../ipc/client.ts";
import type { PinAsk } from "../ipc/types.ts";
import { arrived } from "./arrived.svelte.ts";
import { drafts } from "./drafts.svelte.ts";

const key = "camera";
interface Asked {
  job: string;
  pin: PinAsk;
}

/** Has one taken; answers the path by which the core can read it, none when nobody took one. */
export async function photographFor(asked: Asked): Promise<string[]> {
  drafts.put(key, JSON.stringify(asked), true);
  try {
    return await photograph();
  } finally {
    drafts.drop(key);
  }
}

/** Puts the photo where it belongs that was being taken when the system ended the app. */
export async function photoLeft(): Promise<void> {
  const text = drafts.get(key);
  if (!phone || text === "") return;
  const path = await phone.photoLeft().catch(() => null);
  const { job, pin } = JSON.parse(text) as Asked;
  if (path !== null) await arrived.keep(job, [path], pin);
  drafts.drop(key);
}
