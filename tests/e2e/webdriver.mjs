// A small client of the W3C WebDriver protocol (https://www.w3.org/TR/webdriver2/), enough to drive the real app:
// it speaks to WebKitWebDriver by HTTP and needs no package.
import { setTimeout as pause } from "node:timers/promises";

const ELEMENT = "element-6066-11e4-a52e-4f735466cecf"; // section 12.1 of the protocol
const PATIENCE = 10_000;

/** The Enter key, as section 17.4.2 of the protocol codes it. */
export const ENTER = "\uE007";

export class Driver {
  #base;
  #session;

  constructor(base, session) {
    this.#base = base;
    this.#session = session;
  }

  /** Starts the app under the driver that listens at `base`. */
  static async start(base, binary, args) {
    const options = { "webkitgtk:browserOptions": { binary, args } };
    const answer = await send(base, "POST", "/session", { capabilities: { alwaysMatch: options } });
    return new Driver(base, answer.sessionId);
  }

  #ask(method, path, body) {
    return send(this.#base, method, `/session/${this.#session}${path}`, body);
  }

  /** The first element a CSS selector finds, waited for. */
  find(css) {
    return this.#wait({ using: "css selector", value: css });
  }

  /** The first button, tab or link whose accessible words are these. */
  press(words) {
    const first = `normalize-space((.//strong)[1])`;
    const named = `(normalize-space(.)=${quoted(words)} or @aria-label=${quoted(words)} or ${first}=${quoted(words)} or normalize-space(text())=${quoted(words)})`;
    const roles = `(self::button or self::a or @role='button' or @role='tab' or @role='link')`;
    return this.#wait({ using: "xpath", value: `//*[${roles} and ${named}]` }).then((element) => element.click());
  }

  /** The field that a label of these words belongs to. */
  field(label) {
    const labels = `//label[normalize-space(.)=${quoted(label)}]`;
    return this.#wait({ using: "xpath", value: `//*[@id=${labels}/@for] | ${labels}//input` });
  }

  /** Sets one of several, or a tick, by the words beside it; a person would scroll to it first. */
  async choose(words) {
    const value = `//label[.//input and contains(normalize-space(.), ${quoted(words)})]`;
    const found = await this.#wait({ using: "xpath", value });
    await this.script("document.evaluate(arguments[0], document, null, 9).singleNodeValue.scrollIntoView({ block: 'nearest' })", value);
    await found.click();
  }

  /** Resolves once the words are on the screen. */
  see(words) {
    return this.until(`the words “${words}”`, `return document.body.innerText.includes(${JSON.stringify(words)})`);
  }

  async #wait(query) {
    const end = Date.now() + PATIENCE;
    for (;;) {
      try {
        const found = await this.#ask("POST", "/element", query);
        return new Element((method, path, body) => this.#ask(method, `/element/${found[ELEMENT]}${path}`, body));
      } catch (error) {
        if (error.code !== "no such element" || Date.now() > end) throw new Error(`${query.value}: ${error.message}`);
        await pause(50);
      }
    }
  }

  /** Runs a script in the page and gives back what it returns. */
  script(text, ...args) {
    return this.#ask("POST", "/execute/sync", { script: text, args });
  }

  /** Runs a script that answers by calling its last argument. */
  wait(text, ...args) {
    return this.#ask("POST", "/execute/async", { script: text, args });
  }

  /** Waits until a script returns something true, and gives it back. */
  async until(what, text, ...args) {
    const end = Date.now() + PATIENCE;
    for (;;) {
      const answer = await this.script(text, ...args);
      if (answer) return answer;
      if (Date.now() > end) throw new Error(`Waited ${PATIENCE / 1000} s in vain for ${what}.`);
      await pause(50);
    }
  }

  /** Waits until nothing on the screen has changed for a while and its fonts are there. */
  async still() {
    const look = "return document.fonts.status + document.readyState + document.body.innerText";
    for (let seen = "", since = Date.now(), end = since + PATIENCE; Date.now() < end; await pause(50)) {
      const now = await this.script(look);
      if (now !== seen) [seen, since] = [now, Date.now()];
      if (seen.startsWith("loadedcomplete") && seen !== "loadedcomplete" && Date.now() - since > 700) return;
    }
    throw new Error(`The screen did not come to rest within ${PATIENCE / 1000} s.`);
  }

  /** Asks the core by the app's own command, past the screens. */
  async call(name, args = {}) {
    const text = `const [name, args, done] = arguments;
      window.__TAURI_INTERNALS__.invoke("call", { name, args }).then((ok) => done({ ok }), (problem) => done({ problem }));`;
    const answer = await this.wait(text, name, args);
    if ("problem" in answer) throw new Error(`${name}: ${JSON.stringify(answer.problem)}`);
    return answer.ok;
  }

  /** The window as PNG bytes. */
  async shot() {
    return Buffer.from(await this.#ask("GET", "/screenshot"), "base64");
  }

  /** Closes the app as a person does. */
  close() {
    return this.#ask("DELETE", "");
  }
}

class Element {
  constructor(ask) {
    this.ask = ask;
  }
  click() {
    return this.ask("POST", "/click", {});
  }
  type(text) {
    return this.ask("POST", "/value", { text });
  }
  /** Types in place of whatever stands in the field. */
  async replace(text) {
    await this.ask("POST", "/clear", {});
    await this.type(text);
  }
  text() {
    return this.ask("GET", "/text");
  }
  value() {
    return this.ask("GET", "/property/value");
  }
}

async function send(base, method, path, body) {
  const answer = await fetch(base + path, {
    method,
    headers: { "content-type": "application/json" },
    body: body === undefined ? undefined : JSON.stringify(body),
    signal: AbortSignal.timeout(3 * PATIENCE),
  });
  const { value } = await answer.json();
  if (answer.ok) return value;
  throw Object.assign(new Error(`${value.error}: ${value.message}`), { code: value.error });
}

/** A string as XPath 1.0 writes it; it has no escapes, so one kind of quotes must be free. */
function quoted(words) {
  if (!words.includes("'")) return `'${words}'`;
  if (!words.includes('"')) return `"${words}"`;
  throw new Error(`XPath cannot quote ${words}`);
}
