// The words in the language of this device. The core keeps which it is; what was chosen last is known here at once, before
// the core has answered.
import { german } from "./de.ts";
import { english, type Words } from "./en.ts";

/** Every language, by its code (ISO 639-1). */
export const languages = { en: english, de: german } as const satisfies Record<string, Words>;
export type Language = keyof typeof languages;

const key = "drylay language";
const known = (code: string | null): code is Language => code !== null && code in languages;

/** The first of the system's languages that is known here. */
function ofSystem(): Language {
  const wanted = (globalThis.navigator?.languages ?? []).map((tag) => tag.split("-")[0]?.toLowerCase() ?? null);
  return wanted.find(known) ?? "en";
}

function stored(): Language {
  try {
    const code = localStorage.getItem(key);
    return known(code) ? code : ofSystem();
  } catch {
    return ofSystem();
  }
}

export const language: Language = stored();
export const words: Words = languages[language];

/** Shows the screens in another language: they open again where they are, with what is typed. */
export function show(code: string): void {
  if (!known(code) || code === language) return;
  try {
    localStorage.setItem(key, code);
    if (stored() === code) location.reload();
  } catch {
    // Without storage the screens stay in the language they opened in.
  }
}
