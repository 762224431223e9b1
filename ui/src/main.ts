// Starts the interface: drafts first, because they say where the app was left and what was being typed.
import { mount } from "svelte";
import App from "./App.svelte";
import { drafts, keepDrafts } from "./state/drafts.svelte.ts";
import { where } from "./state/place.svelte.ts";
import { gloves } from "./state/gloves.svelte.ts";
import { theme } from "./state/theme.svelte.ts";
import "./theme/tokens.css";
import "./theme/base.css";

theme.apply();
gloves.apply();
const target = document.getElementById("sheet");
if (target) {
  // Without an answer the first screen still opens and says so.
  await drafts.load().catch(() => {});
  where.start();
  keepDrafts();
  mount(App, { target });
}
