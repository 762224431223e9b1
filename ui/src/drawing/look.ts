// The theme's tokens as the painter needs them, read from the page once per painting.
import type { Ink } from "./scene.ts";

export interface Look {
  readonly inks: Readonly<Record<Ink, string>>;
  /** Multiplies every line width: the daylight theme draws heavier. */
  readonly weight: number;
  readonly family: string;
  readonly figure: number;
}

const inks: readonly Ink[] = ["ink", "soft", "line", "accent", "paper", "wash", "tint"];

export function lookOf(host: Element): Look {
  const style = getComputedStyle(host);
  const read = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    inks: Object.fromEntries(inks.map((ink) => [ink, read(ink)])) as Record<Ink, string>,
    weight: Number.parseFloat(read("weight")) || 1,
    family: style.fontFamily,
    figure: Number.parseFloat(read("figure")) || 16,
  };
}

/** Calls `changed` whenever the theme may have changed. */
export function watchLook(changed: () => void): () => void {
  const watcher = new MutationObserver(changed);
  watcher.observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
  const scheme = matchMedia("(prefers-color-scheme: dark)");
  scheme.addEventListener("change", changed);
  void document.fonts.ready.then(changed);
  return () => {
    watcher.disconnect();
    scheme.removeEventListener("change", changed);
  };
}
