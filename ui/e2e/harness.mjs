// A small harness: named steps that go on after a failure, what a thumb does, and the accessibility check.
import axe from "axe-core";

export class Story {
  failures = [];
  #passed = 0;
  #taps = 0;
  /** What to do after a failure, for instance take a picture. */
  failed = null;

  async step(name, act) {
    const began = performance.now();
    try {
      await act();
      this.#passed += 1;
      console.log(`ok    ${name} (${Math.round(performance.now() - began)} ms)`);
    } catch (error) {
      this.failures.push(name);
      await this.failed?.(name);
      console.log(`FAIL  ${name}\n      ${String(error?.message ?? error).split("\n").slice(0, 6).join("\n      ")}`);
    }
  }

  end() {
    for (const name of this.failures) console.log(`failed: ${name}`);
    console.log(`${this.#passed} passed, ${this.failures.length} failed`);
    process.exitCode = this.failures.length === 0 ? 0 : 1;
  }

  /** Taps, counted; digits are typed and not counted. */
  async tap(locator) {
    this.#taps += 1;
    await locator.tap();
    if (this.human) await pause(humanTap);
  }
  /** Whether every tap takes as long as a thumb does. */
  human = false;

  countTaps() {
    const taps = this.#taps;
    this.#taps = 0;
    return taps;
  }
}

/** Milliseconds a thumb needs for a key it has to look for, and for a digit on a pad it knows: assumed, brisk and not hurried. */
const humanTap = 250, humanDigit = 180;
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

export function equal(found, expected, what = "value") {
  const [a, b] = [found, expected].map((value) => JSON.stringify(value));
  if (a !== b) throw new Error(`${what}: ${a} instead of ${b}`);
}

export function holds(condition, what) {
  if (!condition) throw new Error(what);
}

/** Presses keys of the keypad: digits, fractions, "ft", "in", at a human's pace if asked. Answers how many were not digits. */
export async function keys(page, sequence, human = false) {
  let others = 0;
  for (const key of sequence.split(" ")) {
    if (!/^\d$/.test(key)) others++;
    const name = { ft: "ft, feet", in: "in, inches" }[key];
    const locator = name
      ? page.locator(`.pad button[aria-label="${name}"]`)
      : page.locator(".pad").getByRole("button", { name: key, exact: true });
    await locator.tap();
    if (human) await pause(/^\d$/.test(key) ? humanDigit : humanTap);
  }
  return others;
}

/** Goes on with the Tab key until the focus is on what has this name (its start is enough); fails where the focus cannot be seen. */
export async function tabTo(page, name, most = 120) {
  for (let i = 0; i < most; i++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const one = document.activeElement;
      if (!one || one === document.body) return { name: "", seen: true };
      const label = one.getAttribute("aria-label") ?? (one.labels?.[0]?.textContent || one.textContent || "").trim();
      const around = one.closest("label, .line") ?? one;
      const seen = [one, around].some((each) => {
        const style = getComputedStyle(each);
        return style.outlineStyle !== "none" || style.boxShadow !== "none" || (each.matches("[role=application]") && style.borderTopStyle === "solid");
      });
      return { name: label.replaceAll(/\s+/g, " "), seen };
    });
    if (!at.seen) throw new Error(`the focus on “${at.name}” cannot be seen`);
    if (at.name.startsWith(name)) return;
  }
  throw new Error(`“${name}” is not reached with the Tab key`);
}

/** Every rule of WCAG 2.2 A and AA that axe-core knows, and its good practice; answers the violations in words. */
export async function axeCheck(page) {
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate(() =>
    window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }),
  );
  return violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(" ")).slice(0, 3).join(" | ")}`);
}

/** Buttons and fields smaller than 48 px either way that a finger is meant to hit. */
export const smallTargets = (page, high = 47.5) =>
  page.evaluate((high) =>
    [...document.querySelectorAll("button, summary, input[type=text], select, textarea")]
      .filter((one) => one.offsetParent !== null && !one.closest(".unseen"))
      .map((one) => ({ name: one.getAttribute("aria-label") ?? one.textContent.trim().slice(0, 30), box: one.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0 && (box.height < high || box.width < 47.5))
      .map(({ name, box }) => `${name} ${Math.round(box.width)}×${Math.round(box.height)}`),
    high,
  );

/** Whether anything on the page is wider than the window, or the page itself taller: its parts scroll, it never does. */
export const overflowing = (page) =>
  page.evaluate(() => document.documentElement.scrollWidth > innerWidth || document.documentElement.scrollHeight > innerHeight + 1 || [...document.querySelectorAll(".body, header, .foot, nav")].some((one) => one.scrollWidth > one.clientWidth + 1));
