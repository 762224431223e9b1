// Starts Debian's Chromium as a phone or a laptop, and speaks to the bridge as any browser would.
import { chromium } from "playwright-core";

export const bridge = (process.env.DRYLAY_BRIDGE ?? "").replace(/\/$/, "");

const flags = [
  "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
];
export const sizes = { phone: { width: 412, height: 915 }, tablet: { width: 820, height: 1180 }, laptop: { width: 1280, height: 800 } };

export const launch = () => chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: flags });

/** A fresh window: phone and tablet have touch and a coarse pointer, the laptop a mouse. With `system` nobody has chosen a language. */
export async function open(browser, size, { theme = "light", language = "en", system, density } = {}) {
  const phone = size !== "laptop";
  const context = await browser.newContext({
    viewport: sizes[size],
    isMobile: phone,
    hasTouch: phone,
    deviceScaleFactor: density ?? (phone ? 2 : 1),
    colorScheme: theme === "dark" ? "dark" : "light",
    reducedMotion: "reduce",
    ...(system ? { locale: system } : {}),
  });
  await context.addInitScript(
    ([chosen, spoken]) => {
      try {
        localStorage.setItem("drylay theme", chosen);
        if (spoken !== null) localStorage.setItem("drylay language", spoken);
      } catch {
        // The window that shows a paper has no storage.
      }
    },
    [theme, system ? null : language],
  );
  context.setDefaultTimeout(8000);
  return context.newPage();
}

/** One command of the core, past the interface: to prepare a job or to look at what is stored. */
export async function core(name, args = {}) {
  const answer = await fetch(`${bridge}/call/${name}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(args),
  });
  const body = await answer.json();
  if (!answer.ok) throw Object.assign(new Error(`${name}: ${body.message}`), { problem: body });
  return body;
}

export function needBridge() {
  if (bridge) return;
  console.error("Set DRYLAY_BRIDGE to a running bridge, for instance DRYLAY_BRIDGE=http://127.0.0.1:4577");
  process.exit(2);
}
