// What a job gives out, in Chromium with touch on the real core: papers with what they lack, made, opened, made anew; signed by finger.
import { bridge, core, open } from "./browser.mjs";
import { axeCheck, equal, holds, overflowing, smallTargets } from "./harness.mjs";

/** What the client signs must be priced as a whole: nothing is left to read or to fill in this job. */
const SHEET = {
  drylay: 1,
  job: { name: "Attic of the long house by the mill, behind the second stair", client: "M. Adeyemi", built: 1999 },
  units: "metric",
  products: [{ id: "t", name: "Trial tile", face: { length: 600, width: 300 }, offsets: ["1/3"], joint: 3, edge_gap: 8, kerf: 2, thickness: 9, carton: { tiles: 6, price: "38.20" } }],
  rooms: [{ id: "den", name: "Den", outline: [[0, 0], [3000, 0], [3000, 2000], [0, 2000]] }],
  areas: [{ id: "a", rooms: ["den"], product: "t", layout: { along: ["A", "B"], offset: "1/3", first_row: 300, shift: 400 } }],
  quote: { currency: "EUR", tax_percent: 10 },
};
const RATES = "task,unit,per_hour,hourly\nlay,m2,2,60\ngrout,m2,6,55\n";

/** Tells the stories on a window of their own, with a job of its own. */
export async function papersStories({ story, browser, watch }) {
  const page = await open(browser, "phone");
  watch(page);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const article = (name) => page.locator("article", { has: page.getByRole("heading", { name, exact: true }) });
  await core("books.read", { what: "rates", text: RATES });
  const { id: job } = await core("jobs.import", { sheet: JSON.stringify(SHEET) });
  const line = async (kind) => (await core("papers.view", { job })).papers.find((one) => one.kind === kind);

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

  await story.step("a job without an area says what its papers lack, and leads there", async () => {
    const { id } = await core("jobs.create", { name: "Nothing yet", client: "", site: "", units: "metric" });
    await page.goto(`${bridge}/#/job/${id}/papers`);
    await article("Quote").getByText("No area is to be laid yet").waitFor();
    equal(await button("Make: Quote").count(), 0, "nothing to press");
    equal(await page.locator(".foot .lead").isDisabled(), true, "nor all of them");
    await article("Quote").getByRole("button", { name: /No area is to be laid yet/ }).tap();
    await page.getByRole("heading", { level: 1, name: "Nothing yet" }).waitFor();
    await page.goBack();
  });
  await inspect("Papers, nothing to make");

  await story.step("the papers are reached from the job, and by units come on A4", async () => {
    await page.goto(`${bridge}/#/job/${job}`);
    await page.getByRole("button", { name: "To the papers" }).tap();
    await page.getByRole("heading", { level: 1, name: "Papers" }).waitFor();
    equal((await core("papers.view", { job })).size, "a4", "size");
    await article("Flatness record").getByText("No floor of this job was read.").waitFor();
    await article("Photo report").getByText("No photo of this job is on this device.").waitFor();
  });

  await story.step("one tap makes the order list; it lies in a file and opens", async () => {
    await button("Make: Order list").tap();
    const made = article("Order list").getByRole("link", { name: "Open order.pdf" });
    await made.waitFor({ timeout: 180_000 });
    const address = await made.getAttribute("href");
    const answer = await fetch(`${bridge}${address}`);
    equal(answer.headers.get("content-type"), "application/pdf", "kind");
    const text = Buffer.from(await answer.arrayBuffer()).toString("latin1");
    holds(text.startsWith("%PDF-"), "a PDF");
    // A4 is 210 by 297 mm (ISO 216): 595.276 by 841.89 points of 1/72 in.
    holds(/MediaBox ?\[0 0 595\.27\d* 841\.8\d*\]/.test(text), "on A4");
    const { made: kept } = await line("order");
    equal(kept.same, true, "as the job stands");
    holds(kept.files[0].path.endsWith("order.pdf"), kept.files[0].path);
  });
  await inspect("Papers, one made");

  await story.step("the size is chosen and kept, and what was made is told to be of another", async () => {
    await page.getByRole("radio", { name: "Letter" }).check({ force: true });
    await article("Order list").getByText("The job has changed since").waitFor();
    await page.reload();
    await page.getByRole("heading", { level: 1, name: "Papers" }).waitFor();
    equal(await page.getByRole("radio", { name: "Letter" }).isChecked(), true, "kept");
    await button("Make anew: Order list").tap();
    await page.waitForFunction(() => !document.body.innerText.includes("The job has changed since") && !document.querySelector("progress"), null, { timeout: 180_000 });
    equal((await line("order")).made.same, true, "made anew");
  });

  await story.step("a quote is signed with a finger, and the strokes are kept in millimetres", async () => {
    await page.goto(`${bridge}/#/job/${job}/quote`);
    await page.getByLabel("Who signs").fill("Ngozi Adeyemi-van der Meulen");
    const field = page.getByRole("img", { name: "Signature", exact: true });
    await field.scrollIntoViewIfNeeded();
    const box = await field.boundingBox();
    await page.mouse.move(box.x + box.width * 0.1, box.y + box.height * 0.7);
    await page.mouse.down();
    for (const [x, y] of [[0.2, 0.2], [0.3, 0.75], [0.45, 0.3], [0.6, 0.8], [0.9, 0.4]]) await page.mouse.move(box.x + box.width * x, box.y + box.height * y, { steps: 6 });
    await page.mouse.up();
    await button("Freeze it as signed").tap();
    await page.getByRole("img", { name: "Signature of Ngozi Adeyemi-van der Meulen" }).waitFor();
    const { signature } = (await core("quote.view", { job })).signed[0];
    // A CSS pixel is 1/96 in (CSS Values 4, 6.2).
    holds(Math.abs(signature.width - (box.width * 25.4) / 96) < 0.5, `${signature.width} mm for ${box.width} px`);
    equal(signature.strokes.length, 1, "one stroke");
    const [x, y] = signature.strokes[0][0];
    holds(Math.abs(x / signature.width - 0.1) < 0.02 && Math.abs(y / signature.height - 0.7) < 0.02, `begins at ${x}, ${y}`);
  });
  await inspect("Quote, signed with a finger");

  await story.step("all papers are made together, the signed quote among them", async () => {
    await page.getByRole("button", { name: "To the papers" }).tap();
    await page.getByRole("heading", { level: 1, name: "Papers" }).waitFor();
    await page.locator(".foot .lead").tap();
    await article("Quote").getByRole("link", { name: "Open quote.pdf" }).waitFor({ timeout: 240_000 });
    for (const name of ["Setting-out sheet", "Cut sheets", "Handover"]) await article(name).getByRole("link", { name: /^Open / }).waitFor();
    await article("Drawings and lists").getByText(/^\d+ files$/).tap();
    await article("Drawings and lists").getByRole("link", { name: "Open plan-a.dxf" }).waitFor();
    const { made } = await line("lists");
    holds(made.files.some((file) => file.name === "quote.csv"), "lists");
  });
  await inspect("Papers, all made");

  await story.step("making can be ended, and nothing is told that is not there", async () => {
    const { task } = await core("papers.make", { job, kinds: ["quote"] });
    await core("task.cancel", { task });
    // Ended or just too late to be ended: a whole quote lies there again as soon as the task is through.
    let answer;
    do answer = await fetch(`${bridge}/paper/${job}/quote.pdf`);
    while (answer.status !== 200);
    holds(Buffer.from(await answer.arrayBuffer()).toString("latin1").trimEnd().endsWith("%%EOF"), "a whole one");
    equal((await line("quote")).made.files.length, 1, "is told");
    equal((await fetch(`${bridge}/paper/${job}/../quote.pdf`)).status, 404, "nothing beside it");
  });
  await page.context().close();
}
