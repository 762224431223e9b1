// What to buy and what it costs, in Chromium with touch on the real core: counted on request, traced, quoted, signed, changed.
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, overflowing, smallTargets } from "./harness.mjs";

const RATES = "task,unit,per_hour,hourly\nlay,m2,2.4,62.50\ngrout,m2,6,55\ntrim,ft,40,48\ndemolish,m2,2,58\nread,m2,20,60\n";
const PRICES = "item,unit,price,since,supplier\ntravel,km,0.85,,\ndisposal,kg,0.42,,Kippe am Fluß\nprimer,litre,6.10,,\nfurniture,hour,48,,\n";

/** Tells the stories on a window of their own, with the demo job. */
export async function moneyStories({ story, browser, watch }) {
  const page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const { id: job } = await core("jobs.demo");

  async function inspect(name) {
    await story.step(`${name}: clean in axe, 48 px, nothing cut off`, async () => {
      for (const theme of ["light", "dark", "daylight"]) {
        await page.evaluate((chosen) => (document.documentElement.dataset.theme = chosen), theme);
        await page.waitForTimeout(60);
        equal(await axeCheck(page), [], `axe in ${theme}`);
      }
      await page.evaluate(() => (document.documentElement.dataset.theme = "light"));
      equal(await smallTargets(page), [], "targets under 48 px");
      equal(await overflowing(page), false, "wider than the window");
    });
  }

  await story.step("what is not planned yet is named, not searched for by looking", async () => {
    await page.goto(`${bridge}/#/job/${job}/buy`);
    await page.getByRole("heading", { name: "Not counted yet" }).waitFor();
    equal((await core("buy.view", { job })).lines, [], "lines");
  });
  await inspect("Buy, nothing counted");

  await story.step("counting it goes on by itself, and can be ended", async () => {
    await button("Work it out and count it").tap();
    await button("Cancel").tap();
    await page.getByText("The search was canceled.").waitFor();
    await button("Work it out and count it").tap();
    await page.getByRole("heading", { name: "Quarry grey, floating tile 24 x 12" }).waitFor({ timeout: 120_000 });
    const { lines, waiting } = await core("buy.view", { job });
    equal(waiting, [], "waiting");
    for (const item of ["tile", "underlay", "grout", "sealant", "trim"]) holds(lines.some((line) => line.item === item), item);
    // The kitchen's floor waits to be read again after the work, so nothing is known to be filled.
    equal(lines.filter((line) => line.item === "compound"), [], "compound");
  });
  await inspect("Buy, all of it");

  await story.step("one tap on a figure leads to where it comes from", async () => {
    const line = page.locator("li", { has: page.getByRole("heading", { name: "Shoe moulding" }) });
    await line.locator("summary").tap();
    await line.getByRole("button", { name: /Kitchen/ }).tap();
    await page.getByRole("heading", { level: 1, name: "Kitchen" }).waitFor();
    await page.goBack();
    await page.getByRole("heading", { level: 1, name: "Buy" }).waitFor();
  });

  await story.step("the quote says how much, how many and how long, and what it lacks", async () => {
    await page.getByRole("navigation").getByRole("button", { name: /Quote/ }).tap();
    await page.getByRole("heading", { level: 1, name: "Quote" }).waitFor();
    await page.getByText("The shop has no production rates").waitFor();
    await page.getByText("the lead pamphlet").first().waitFor();
  });

  await story.step("a list with a mistake is refused with its place, and a whole one is taken", async () => {
    await page.getByText("Prices and rates of the shop", { exact: true }).tap();
    await page.getByLabel(/^Price list/).fill("item;unit;price\ntravel;km;0,85\n");
    await button("Read the price list").tap();
    await page.getByText(/line 2, price: “0,85” has a comma/).waitFor();
    equal((await core("books.view")).price_count, 0, "prices");
    await page.getByLabel(/^Price list/).fill(PRICES);
    await button("Read the price list").tap();
    await page.getByLabel("Price list, 4 prices").waitFor();
    await page.getByLabel(/^Production rates/).fill(RATES);
    await button("Read the rates").tap();
    await page.getByLabel("Production rates, 5 tasks").waitFor();
    holds((await core("books.view")).prices.includes("Kippe am Fluß"), "any name comes through");
    holds(!(await core("jobs.export", { job })).sheet.includes("62.50"), "rates are in no sheet");
  });
  await inspect("Quote");

  await story.step("work that no plan yields is typed, refused with its place, and counted", async () => {
    await page.getByText("Work, hidden things, lines and variants", { exact: true }).tap();
    const lines = page.getByRole("region", { name: "Lines at a price" });
    await lines.getByRole("button", { name: /Add/ }).tap();
    const form = page.getByRole("form", { name: "Lines at a price" });
    await form.getByLabel("Name", { exact: true }).fill("Range moved out and back");
    await form.getByLabel("How many", { exact: true }).fill("1");
    await form.getByLabel("Of what", { exact: true }).fill("job");
    await form.getByRole("button", { name: "Save" }).tap();
    await form.getByText("Write digits with a point").waitFor();
    await form.getByLabel("Price of one", { exact: true }).fill("45,50");
    await form.getByRole("button", { name: "Save" }).tap();
    await lines.getByText("Range moved out and back").first().waitFor();
    const quote = await core("quote.view", { job });
    holds(quote.lines.some((line) => line.name === "Range moved out and back" && line.amount.endsWith("45.50")), "it is in the quote");
  });
  await inspect("Quote, what is beside the plan");

  await story.step("a quote is frozen, and a change to it is added up", async () => {
    const { total } = await core("quote.view", { job });
    await page.getByLabel("Who signs").fill("The owners");
    await button("Freeze it as signed").tap();
    await page.getByText("Signed by The owners. The job still costs the same.").waitFor();
    equal((await core("quote.view", { job })).signed[0].total, total, "what was signed");
    await page.getByText("Change it before the work", { exact: true }).tap();
    const form = page.locator("article form");
    await form.getByLabel("What", { exact: true }).fill("Closet floor as well");
    await form.getByLabel("How many", { exact: true }).fill("2.5");
    await form.getByLabel("Of what", { exact: true }).fill("m2");
    await form.getByLabel(/^Price of one/).fill("84.20");
    await button("Add the change").tap();
    await page.getByText("With its changes").waitFor();
    const [signed] = (await core("quote.view", { job })).signed;
    // 2.5 × 84.20 are 210.50, and 8.25 % tax of that are 17.37 (17.36625).
    equal(signed.changes.map((one) => one.amount), ["USD 227.87"], "the change");
    const cents = (text) => Number(text.replace(/[^\d]/g, ""));
    equal(cents(signed.with_changes), cents(signed.total) + 22787, "with it");
  });
  await inspect("Quote, signed");

  await story.step("what is asked on the first call is kept; codes of doors stay on this device", async () => {
    await page.goto(`${bridge}/#/job/${job}`);
    await page.getByText("First call", { exact: true }).tap();
    await page.getByLabel("Parking and unloading").fill("Behind the mill");
    await page.getByLabel("Codes of doors and lock boxes").fill("4711#");
    await page.locator("details form", { hasText: "Parking" }).getByRole("button", { name: "Save" }).tap();
    await page.waitForTimeout(300);
    const call = await core("call.view", { job });
    equal([call.said.find((one) => one.what === "parking").words, call.lock_codes, call.built], ["Behind the mill", "4711#", "1974"], "the call");
    const { sheet } = await core("jobs.export", { job });
    holds(sheet.includes("Behind the mill") && !sheet.includes("4711"), "the sheet has the one and not the other");
  });
  await inspect("First call");
  await page.context().close();
}
