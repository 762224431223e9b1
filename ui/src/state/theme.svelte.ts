// The theme of this device: follows the system until somebody chooses. A phone is told, since the icons upon its bars stand
// on the theme's paper.
import { phone } from "../ipc/client.ts";

export type Theme = "system" | "light" | "dark" | "daylight";
const key = "drylay theme";

function stored(): Theme {
  const text = readStore();
  return text === "light" || text === "dark" || text === "daylight" ? text : "system";
}

function readStore(): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

class Themes {
  now = $state<Theme>(stored());
  #night = matchMedia("(prefers-color-scheme: dark)");

  constructor() {
    // Also where the theme is chosen: the phone puts its own icons there when the system changes.
    this.#night.addEventListener("change", () => this.#tell());
  }

  choose(theme: Theme): void {
    this.now = theme;
    try {
      localStorage.setItem(key, theme);
    } catch {
      // Without storage the choice lasts as long as the window.
    }
    this.apply();
  }

  apply(): void {
    const root = document.documentElement;
    if (this.now === "system") delete root.dataset["theme"];
    else root.dataset["theme"] = this.now;
    this.#tell();
  }

  #tell(): void {
    const dark = this.now === "system" ? this.#night.matches : this.now === "dark";
    void phone?.darkIcons(!dark).catch(() => {});
  }
}

export const theme = new Themes();
