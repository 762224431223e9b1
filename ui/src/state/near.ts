// Tells the phone whether there is anybody to look for: it listens for devices near no longer than that.
import { call, hear, phone } from "../ipc/client.ts";
import type { CrewView } from "../ipc/types.ts";

/** From now on, whenever the core tells that something of the crew has changed. */
export function watchCrew(): void {
  if (!phone) return;
  hear((event) => event.kind === "crew" && void look(), () => void look());
  void look();
}

/** Somebody is looked for in a crew, and while one is made or joined. */
export function lookFor(crew: CrewView): void {
  const wanted = crew.member || crew.joining || crew.invitation !== null || crew.asks !== null;
  void phone?.discover(wanted).catch(() => {});
}

async function look(): Promise<void> {
  const crew = await call("crew.view", {}).catch(() => null);
  if (crew) lookFor(crew);
}
