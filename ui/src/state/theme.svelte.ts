// The theme of this device: follows the system until somebody chooses.
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
  }
}

export const theme = new Themes();
