// Starts the interface: drafts first, because they say where the app was left and what was being typed.
import { mount } from "svelte";
import App from "./App.svelte";
import { call, phone } from "./ipc/client.ts";
import { arrived } from "./state/arrived.svelte.ts";
import { photoLeft } from "./state/camera.ts";
import { parts } from "./screens/parts.svelte.ts";
import { drafts, keepDrafts } from "./state/drafts.svelte.ts";
import { watchCrew } from "./state/near.ts";
import { where } from "./state/place.svelte.ts";
import { gloves } from "./state/gloves.svelte.ts";
import { theme } from "./state/theme.svelte.ts";
import "./theme/tokens.css";
import "./theme/base.css";
import { language, show } from "./words/words.ts";

theme.apply();
gloves.apply();
document.documentElement.lang = language;
phone?.bars((bars) => {
  for (const side of ["top", "right", "bottom", "left"] as const) document.documentElement.style.setProperty(`--bar-${side}`, `${bars[side]}px`);
});
/** Screens and core speak the language that was chosen here; before anybody has chosen, the system's. */
async function speak(chosen: string | null): Promise<void> {
  if (chosen !== null) show(chosen);
  else if (language !== "en") await call("device.speak", { language });
}
const target = document.getElementById("sheet");
if (target) {
  // Without an answer the first screen still opens and says so.
  await drafts.load().then(speak).catch(() => {});
  where.start();
  keepDrafts();
  await parts.ready(where.now);
  mount(App, { target });
  arrived.start();
  watchCrew();
  await photoLeft();
}
