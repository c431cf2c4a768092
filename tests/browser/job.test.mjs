// The whole job in Chromium: from a dropped file to a saved report, and what the page shows against the command line.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { commandLine, data, demo, demoSheet, drop, goTo, openPage, plain, sentence, settled, shownVerdict, startBrowser, startServer } from "./lib.mjs";

let server;
let browser;
before(async () => {
  server = await startServer();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

for (const units of ["si", "ip"]) {
  test(`from a dropped file to a saved report, ${units}`, async () => {
    const { page, trouble, close } = await openPage(browser, server);
    await goTo(page, server, `#/recordings?u=${units}`);
    await drop(page, [join(data, "roof_log.csv")]);
    await page.waitForSelector("h1:has-text('What was understood')");
    assert.match(await page.locator(".lead").innerText(), /18 channels are understood/);
    await page.getByLabel("Name", { exact: true }).fill(`Roof ${units}`);
    await page.getByRole("button", { name: "Take it in and judge it" }).click();
    await page.waitForSelector("h1 .mark");

    const expected = JSON.parse(commandLine("check", join(data, "roof_log.csv"), "--json", "--units", units));
    const shown = await shownVerdict(page);
    assert.equal(shown.word, expected.verdict);
    assert.ok(shown.healthy.endsWith(plain(expected.answers.healthy)), shown.healthy);
    assert.deepEqual(shown.wrong, expected.answers.wrong.map(sentence));
    assert.deepEqual(shown.open, expected.answers.not_judged.map(sentence));
    assert.ok(shown.wrong.length > 0, "the invented log has something wrong in it");

    // Each finding opens its evidence.
    await page.locator(".finding .button").first().click();
    await page.waitForSelector(".stage-lane canvas");
    assert.match(page.url(), /show=/);
    const start = expected.span.start.slice(11, 16);
    assert.ok(!(await page.locator(".controls .soft").innerText()).includes(`${start} to`), "the evidence fills the picture");

    await page.keyboard.press("0");
    await page.waitForSelector("iframe.paper");
    await settled(page);
    await page.getByLabel("Remarks").fill("Tried <on> a roof.");
    const [saved] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save as HTML" }).click(),
    ]);
    const html = readFileSync(await saved.path(), "utf8");
    assert.match(html, /^<!doctype html>/);
    assert.ok(html.includes("Tried &lt;on&gt; a roof."));
    for (const said of expected.answers.wrong) assert.ok(plain(html).includes(plain(said)), `the report lacks: ${said}`);
    assert.ok(!/<script/i.test(html), "a report runs nothing");
    assert.deepEqual(trouble, []);
    await close();
  });
}

test("headers in plain words are confirmed by clicking, and the second time the map is known", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  await drop(page, [join(data, "plain_words.csv")]);
  await page.waitForSelector("h1:has-text('What was understood')");
  await page.getByRole("button", { name: /Yes to all \d+ that are likely/ }).click();
  await page.waitForFunction(() => /^([5-9]|1\d) channels/.test(document.querySelector(".lead")?.textContent ?? ""));
  const understood = await page.locator(".lead").innerText();
  // One by hand: what no header says.
  await page.getByRole("button", { name: "It is … Room A pipe (°C)" }).click();
  await page.getByLabel("Place of Room A pipe (°C)").fill("indoor.1");
  await page.getByLabel("Quantity of Room A pipe (°C)").selectOption("gas_pipe_temperature");
  await page.getByLabel("Unit of Room A pipe (°C)").fill("degC");
  await page.getByRole("button", { name: "Use", exact: true }).click();
  await page.waitForSelector(".is:has-text('indoor.1.gas_pipe_temperature')");
  assert.notEqual(await page.locator(".lead").innerText(), understood);
  await page.getByRole("button", { name: "Take it in and judge it" }).click();
  await page.waitForSelector("h1 .mark");
  await goTo(page, server, "#/recordings");
  await drop(page, [join(data, "plain_words.csv")]);
  await page.waitForSelector(".is:has-text('indoor.1.gas_pipe_temperature')", { timeout: 30000 });
  await page.getByRole("button", { name: "Leave it" }).click();
  await page.waitForSelector(".drop");
  assert.deepEqual(trouble, []);
  await close();
});

test("columns of a recording that is taken in are named afterwards, from its own page and by the keyboard alone", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  await drop(page, [join(data, "plain_words.csv")]);
  await page.waitForSelector("h1:has-text('What was understood')");
  // The map of the test before is known to nobody here: another browser context.
  await page.getByRole("button", { name: "It is … Discharge temperature (°C)" }).click();
  await page.keyboard.type("outdoor.1");
  await page.getByLabel("Quantity of Discharge temperature (°C)").selectOption("discharge_temperature");
  await page.getByLabel("Unit of Discharge temperature (°C)").fill("degC");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".is:has-text('outdoor.1.discharge_temperature')");
  await page.getByRole("button", { name: "Take it in and judge it" }).click();
  await page.waitForSelector("h1 .mark");
  const id = /r=(\w+)/.exec(page.url())[1];
  const file = join(server.folder, "recordings", id, "f1");
  const bytes = readFileSync(file);

  // The page says what is missing and leads to where it is named.
  const more = page.locator(".more-to-say");
  assert.match(plain(await more.innerText()), /columns were not understood or not wanted/);
  assert.match(plain(await more.innerText()), /No column is understood as these, the first of several where another would do: .*discharge pressure of outdoor module 1: \d+ judgements wait for it/i);
  assert.ok(!/--[a-z]/.test(await page.locator("#main").innerText()), "no option of the command line on the page");
  await page.getByRole("link", { name: "Name the columns" }).focus();
  await page.keyboard.press("Enter");
  await page.waitForSelector("h1:has-text('What was understood of plain_words')");
  await page.waitForSelector(".is:has-text('outdoor.1.discharge_temperature')");

  // Named with keys alone; the focus stays in the row, and the row where it stands.
  const row = page.locator("tr:has(th:text-is('Discharge pressure (kPa(g))'))");
  const place = await row.evaluate((r) => r.rowIndex);
  await row.getByRole("button", { name: "It is …" }).focus();
  await page.keyboard.press("Enter");
  await page.keyboard.type("outdoor.1");
  await page.keyboard.press("Tab");
  // What is proposed stands there already.
  assert.equal(await page.evaluate(() => document.activeElement?.value), "discharge_pressure");
  await page.keyboard.press("Tab");
  await page.keyboard.press("ControlOrMeta+a");
  await page.keyboard.type("kPa(g)");
  // On to "Use": in the field itself Enter may only close the browser's list of units.
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await row.locator(".is:has-text('outdoor.1.discharge_pressure')").waitFor();
  assert.match(await page.evaluate(() => document.activeElement?.closest("tr")?.querySelector("th")?.textContent ?? "nowhere"), /^Discharge pressure/);
  assert.equal(await row.evaluate((r) => r.rowIndex), place, "a row that is named stays where it is");

  // A unit that cannot be is refused and does not stand there as if it were in force.
  await row.getByRole("button", { name: "Change" }).press("Enter");
  await page.getByLabel("Unit of Discharge pressure (kPa(g))").fill("furlong");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#main .trouble");
  await row.locator(".is:has-text('outdoor.1.discharge_pressure')").waitFor();
  const before = await (await fetch(`${server.address}/api/recordings/${id}/verdict`)).json();
  assert.equal(before.quality.columns_understood.length, 1, "nothing is in force before it is read again");

  await page.getByRole("button", { name: "Read it again and judge it" }).focus();
  await page.keyboard.press("Enter");
  await page.waitForSelector("h1 .mark");
  await settled(page);
  const verdict = await (await fetch(`${server.address}/api/recordings/${id}/verdict`)).json();
  assert.equal(verdict.quality.columns_understood.length, 2);
  assert.deepEqual((await shownVerdict(page)).open, verdict.answers.not_judged.map(sentence), "the page shows the new verdict");
  assert.ok(bytes.equals(readFileSync(file)), "the file is as it came");
  const map = readFileSync(join(server.folder, "recordings", id, JSON.parse(readFileSync(join(server.folder, "recordings", id, "card.json"), "utf8")).map), "utf8");
  const kept = join(server.folder, "kept.map.toml");
  writeFileSync(kept, map);
  const expected = JSON.parse(commandLine("check", join(data, "plain_words.csv"), "--map", kept, "--json"));
  assert.equal(verdict.verdict, expected.verdict);
  assert.deepEqual(verdict.answers, expected.answers, "the command line says the same with the map that was kept");

  // Leaving it leaves all as it is.
  await page.getByText(/^What was understood: 2 columns/).click();
  await page.getByRole("link", { name: "Correct what was understood" }).click();
  await page.waitForSelector(".is:has-text('outdoor.1.discharge_pressure')");
  await row.getByRole("button", { name: "Leave out" }).click();
  await row.locator(".is:has-text('left out')").waitFor();
  await page.getByRole("button", { name: "Leave it as it was" }).click();
  await page.waitForSelector("h1 .mark");
  assert.equal((await (await fetch(`${server.address}/api/recordings/${id}/verdict`)).json()).quality.columns_understood.length, 2);
  // The refusal comes as status 422, which the browser notes by itself.
  assert.deepEqual(trouble.filter((t) => !t.includes("422")), []);
  await close();
});

test("the demo's verdict is the command line's, in both unit systems, by the switch", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  await page.getByRole("button", { name: "Open the demo recording" }).click();
  await page.waitForSelector("h1 .mark");
  for (const units of ["si", "ip"]) {
    if (units === "ip") {
      await page.getByRole("button", { name: "inch-pound" }).click();
      await page.waitForFunction(() => document.querySelector(".findings")?.textContent?.includes("°F"));
    }
    const expected = JSON.parse(commandLine("check", demo, "--system", demoSheet, "--json", "--units", units));
    const shown = await shownVerdict(page);
    assert.equal(shown.word, expected.verdict);
    assert.deepEqual(shown.wrong, expected.answers.wrong.map(sentence));
    const nested = await page.locator("h2:has-text('What is wrong') + ol > .finding").evaluateAll((all) => all.map((e) => e.querySelectorAll(".follows .finding").length));
    assert.deepEqual(nested, expected.answers.wrong_by_root.map((t) => t.follows.length), "what follows from a finding stands below it");
    const judged = await page.locator("details:has-text('Every check') tbody tr").count();
    assert.equal(judged, expected.checks.length);
  }
  assert.deepEqual(trouble, []);
  await close();
});

test("the value at the cursor is the file's own", async () => {
  const { page, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  const list = await page.evaluate(async () => (await (await fetch("/api/recordings")).json()).recordings);
  const demoId = list.find((r) => r.demo)?.id;
  assert.ok(demoId, "the demo is taken in");
  const lines = readFileSync(join(demo, "outdoor.csv"), "utf8").trim().split("\n").filter((l) => !l.startsWith("#"));
  const header = lines[0].split(",");
  const column = header.findIndex((h) => h.startsWith("outdoor.1.discharge_temperature"));
  assert.ok(column > 0 && header[column].includes("[degC]"));
  const cells = lines[1 + 1200].split(",");
  const t = Date.parse(cells[0]);
  await goTo(page, server, `#/time?r=${demoId}&ch=outdoor.1.discharge_temperature&t=${t}&from=${t - 600000}&to=${t + 600000}`);
  const cell = page.locator("td[data-channel='outdoor.1.discharge_temperature']");
  await page.waitForFunction(() => /\d/.test(document.querySelector("td[data-channel]")?.textContent ?? ""));
  assert.equal(plain(await cell.innerText()), `${Number(cells[column]).toFixed(1)} °C`.replace("-", "−"));
  await close();
});

test("a field procedure's words are the command line's", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/fieldwork?p=tightness");
  const answers = { Start: "4.15MPa(g)", "Start temperature": "25C", End: "3.915MPa(g)", "End temperature": "10C", Volume: "60L", Hours: "24" };
  for (const [label, text] of Object.entries(answers)) await page.getByLabel(label, { exact: true }).first().fill(text);
  await page.waitForSelector(".field-verdict");
  const expected = JSON.parse(
    commandLine("tightness", "--start", "4.15MPa(g)", "--start-temperature", "25C", "--end", "3.915MPa(g)", "--end-temperature", "10C", "--volume", "60L", "--hours", "24", "--json"),
  );
  await page.waitForFunction((v) => document.querySelector(".field-verdict")?.textContent === v, expected.verdict);
  const paper = page.frameLocator("iframe.paper");
  for (const caution of expected.cautions) {
    assert.ok(plain(await paper.locator("body").innerText()).includes(plain(caution)), caution);
  }
  await page.getByLabel("End temperature", { exact: true }).first().fill("very cold");
  await page.waitForSelector(".field-bad");
  // The refusal comes as status 422, which the browser notes by itself.
  assert.deepEqual(trouble.filter((t) => !t.includes("422")), []);
  await close();
});

test("what is opened again by its address shows the same view", async () => {
  const { page, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  const id = await page.evaluate(async () => (await (await fetch("/api/recordings")).json()).recordings.find((r) => r.demo).id);
  await goTo(page, server, `#/verdict?r=${id}`);
  await page.locator(".finding .button").first().click();
  await page.waitForSelector(".stage-lane canvas");
  await page.getByRole("button", { name: "Closer" }).click();
  await page.waitForTimeout(400);
  const address = page.url();
  const told = await page.locator(".controls .soft").innerText();
  const other = await openPage(browser, server);
  await other.page.goto(address);
  await other.page.waitForSelector(".stage-lane canvas");
  await settled(other.page);
  assert.equal(await other.page.locator(".controls .soft").innerText(), told);
  await other.close();
  await close();
});
