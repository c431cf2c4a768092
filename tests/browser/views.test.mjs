// What single pages do: causes, the sheet, comparing, playing, pinching, the map of what if, paper.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, test } from "node:test";
import { commandLine, data, demo, demoId, demoSheet, drop, goTo, openPage, plain, sentence, settled, shownVerdict, simulated, startBrowser, startServer, takeIn } from "./lib.mjs";

let server;
let browser;
let id;
before(async () => {
  server = await startServer();
  browser = await startBrowser();
  id = await demoId(server);
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const percent = (q) => {
  const p = Math.min(q, 0.999999);
  const whole = Math.round(100 * p);
  return p > 0 && whole < 1 ? "under 1 %" : p < 1 && whole > 99 ? "over 99 %" : `${whole} %`;
};

test("looking for causes can be cancelled and taken up again", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await page.goto(`${server.address}/#/causes?r=${id}`);
  await page.getByRole("button", { name: "Cancel" }).click();
  await page.getByRole("button", { name: "Look for causes" }).click();
  await page.waitForSelector(".causes", { timeout: 240000 });
  assert.deepEqual(trouble, []);
  await close();
});

/** What the page says of causes, word by word what the command line says. */
async function expectCauses(page, expected, units) {
  assert.equal(plain(await page.locator("h1 .answer").innerText()), plain(expected.answer));
  const shown = (await page.locator(".causes .cause-share strong").allInnerTexts()).map(plain);
  const all = [...expected.causes.map((c) => c.probability), expected.healthy, expected.unknown].sort((a, b) => b - a);
  assert.deepEqual(shown, all.map(percent));
  const said = plain(await page.locator("#main").evaluate((e) => e.textContent));
  for (const cause of expected.causes) {
    assert.ok(said.includes(plain(cause.severity_text)), `lacks: ${cause.severity_text}`);
    for (const p of [...cause.for, ...cause.against]) {
      assert.ok(said.includes(plain(p.what)), `lacks: ${p.what}`);
      if (p.dimension !== "temperature" || p.seen === null) continue;
      const seen = units === "si" ? `${(p.seen - 273.15).toFixed(1)} °C seen` : `${((p.seen * 9) / 5 - 459.67).toFixed(1)} °F seen`;
      assert.ok(said.includes(seen.replace("-", "−")), `lacks: ${seen} of ${p.what}`);
    }
    for (const other of cause.cannot_be_told_from.slice(0, 4)) assert.ok(said.includes(plain(other)), `lacks: ${other}`);
  }
  for (const t of expected.next) assert.ok(said.includes(plain(t.do)), `lacks: ${t.do}`);
  const charge = plain(await page.locator(".charge-said").innerText());
  const mass = (kg) => (units === "si" ? `${kg.toFixed(2)} kg` : `${(kg / 0.45359237).toFixed(2)} lb`);
  assert.ok(charge.includes(mass(expected.charge.sheet_kg)), charge);
  if (expected.charge.verdict === "estimated") {
    for (const kg of [expected.charge.kg, expected.charge.low_kg, expected.charge.high_kg]) assert.ok(charge.includes(mass(kg)), charge);
  } else assert.match(charge, /unproven/);
  for (const caution of expected.cautions) assert.ok(said.includes(plain(caution)));
}

for (const units of ["si", "ip"]) {
  test(`the causes are the command line's, ${units}`, async () => {
    const { page, trouble, close } = await openPage(browser, server);
    await page.goto(`${server.address}/#/causes?r=${id}&u=${units}`);
    await page.waitForSelector(".causes", { timeout: 240000 });
    const expected = JSON.parse(commandLine("diagnose", demo, "--system", demoSheet, "--json", "--units", units));
    await expectCauses(page, expected, units);
    assert.deepEqual(trouble, []);
    await close();
  });
}

test("a fault that was put in is named on the page, and a temperature speaks for it", async () => {
  const made = simulated(server, 'kind = "valve_stuck"\nplace = "indoor.2"\nseverity = "1.5 %"');
  const stuck = await takeIn(server, "a valve nearly shut", { "recording.csv": readFileSync(made.log) });
  const put = await fetch(`${server.address}/api/recordings/${stuck}/sheet`, { method: "PUT", body: readFileSync(made.sheet) });
  assert.equal(put.status, 200);
  const { page, trouble, close } = await openPage(browser, server);
  for (const units of ["si", "ip"]) {
    await page.goto(`${server.address}/#/causes?r=${stuck}&u=${units}`);
    await page.waitForSelector(".causes", { timeout: 240000 });
    const expected = JSON.parse(commandLine("diagnose", made.log, "--system", made.sheet, "--json", "--units", units));
    const [named] = expected.causes;
    assert.equal(`${named.cause} ${named.place}`, "indoor-valve-closed indoor.2", "the fault that was put in");
    assert.notEqual(expected.named, null);
    const speaks = named.for.filter((p) => p.dimension === "temperature" && p.seen !== null);
    assert.ok(speaks.length > 0, "a temperature speaks for the cause that is named");
    await page.waitForFunction((sign) => document.querySelector(".causes")?.textContent?.includes(sign), units === "si" ? "°C" : "°F");
    await expectCauses(page, expected, units);
    // It stands first, above "healthy" and "something else", with its place in words.
    assert.match(plain(await page.locator(".causes > .cause").first().innerText()), /indoor unit 2/);
  }
  assert.deepEqual(trouble, []);
  await close();
});

test("causes are compared with a recording of the sound machine", async () => {
  const sound = await takeIn(server, "when it was sound", { "indoor.csv": later("indoor.csv"), "outdoor.csv": later("outdoor.csv") });
  const { page, trouble, close } = await openPage(browser, server);
  await page.goto(`${server.address}/#/causes?r=${id}`);
  await page.waitForSelector(".causes", { timeout: 240000 });
  await page.getByLabel("The same machine when it was sound").selectOption(sound);
  await page.waitForFunction(() => document.querySelector("#main")?.textContent?.includes("What the earlier recording shows of this machine and its sensors was learnt"), undefined, { timeout: 240000 });
  assert.match(page.url(), new RegExp(`sound=${sound}`));
  assert.deepEqual(trouble, []);
  await close();
});

test("design days are set on the page, and a day that is none is refused there", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await page.goto(`${server.address}/#/causes?r=${id}&u=ip`);
  await page.waitForSelector(".causes", { timeout: 240000 });
  await page.getByLabel("Coldest day here").fill("-4");
  await page.getByRole("button", { name: "Work these days out" }).click();
  await page.waitForSelector("th:has-text('heating at −4.0 °F')", { timeout: 240000 });
  assert.match(page.url(), /coldest=-4degF/);
  const expected = JSON.parse(commandLine("diagnose", demo, "--system", demoSheet, "--json", "--units", "ip", "--coldest=-4degF"));
  const cold = expected.design_days.find((d) => d.mode === "heating");
  assert.equal(cold.outdoor_temperature, 253.15);
  const row = plain(await page.locator("tr:has(th:has-text('heating at −4.0 °F'))").innerText());
  // 1 Btu/h is 0.29307107 W (NIST SP 811, B.8).
  if (cold.verdict === "calculated") assert.ok(row.replaceAll(" ", "").includes(`${Math.round(cold.capacity_W / 0.29307107)}Btu/h`), row);
  else assert.match(row, /unproven/);
  await page.getByLabel("Coldest day here").fill("200");
  await page.getByRole("button", { name: "Work these days out" }).click();
  await page.waitForSelector(".trouble:has-text('no design day')");
  await page.getByLabel("Coldest day here").fill("");
  await page.getByRole("button", { name: "Work these days out" }).click();
  await page.waitForSelector(".causes", { timeout: 240000 });
  // The refusal comes as status 422, which the browser notes by itself.
  assert.deepEqual(trouble.filter((t) => !t.includes("422")), []);
  await close();
});

test("a comparison says where the air pressure and the sheet differ", async () => {
  const high = await takeIn(server, "on the mountain", { "outdoor.csv": later("outdoor.csv") });
  const put = await fetch(`${server.address}/api/recordings/${high}/options`, { method: "PUT", body: JSON.stringify({ altitude: "1600m" }) });
  assert.equal(put.status, 200);
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/time?r=${id}&with=${high}`);
  const said = page.locator(".warn[role=note]");
  await said.waitFor({ timeout: 60000 });
  // Standard atmosphere at 1600 m: 83.5 kPa (US Standard Atmosphere 1976).
  assert.match(plain(await said.innerText()), /air pressure in force is .* kPa.* here and 83\.5/);
  assert.match(await said.innerText(), /other recording has no system sheet/);
  assert.deepEqual(trouble, []);
  await close();
});

test("what would let more be judged is said, and asked where it can be answered at once", async () => {
  const rows = Array.from({ length: 90 }, (_, i) => `2026-02-14 06:${String(i % 60).padStart(2, "0")}:00`.replace(" 06", i < 60 ? " 06" : " 07") + `,62.${i % 10},7.1`);
  const text = `time,outdoor.1.discharge_temperature [degC],the grey pipe\n${rows.join("\n")}\n`;
  const blind = await takeIn(server, "blind", { "blind.csv": text });
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/verdict?r=${blind}`);
  const more = page.locator(".more-to-say");
  assert.match(plain(await more.innerText()), /One column was not understood or not wanted.*the grey pipe/);
  await page.getByRole("button", { name: "It cools" }).click();
  await page.getByRole("button", { name: "It cools" }).waitFor({ state: "detached" });
  await settled(page);
  assert.equal((await (await fetch(`${server.address}/api/recordings/${blind}`)).json()).options.mode, "cooling");
  const expected = JSON.parse(await (await fetch(`${server.address}/api/recordings/${blind}/verdict`)).text());
  assert.deepEqual((await shownVerdict(page)).open, expected.answers.not_judged.map(sentence));
  assert.deepEqual(trouble, []);
  await close();
});

test("a sheet dropped with a log, taken away and given again, is in the verdict each time", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  await drop(page, [join(data, "roof_log.csv"), demoSheet]);
  await page.waitForSelector("h1:has-text('What was understood')");
  await page.getByText("Machine and site, where the log does not say: with a system sheet").waitFor();
  await page.getByRole("button", { name: "Take it in and judge it" }).click();
  await page.waitForSelector("h1 .mark");
  const expect = async (...flags) => {
    const expected = JSON.parse(commandLine("check", join(data, "roof_log.csv"), "--json", ...flags));
    const shown = await shownVerdict(page);
    assert.deepEqual(shown.wrong, expected.answers.wrong.map(sentence));
    assert.equal(await page.locator("details:has-text('Every check') tbody tr").count(), expected.checks.length);
  };
  await expect("--system", demoSheet);
  await page.getByText("Machine and site: with a system sheet").click();
  await page.getByRole("button", { name: "Take the sheet away" }).click();
  await page.getByText("Machine and site: no system sheet yet").waitFor();
  await expect();
  await page.getByLabel("System sheet of this machine (TOML)").setInputFiles(demoSheet);
  await page.getByText("Machine and site: with a system sheet").waitFor();
  await expect("--system", demoSheet);
  assert.deepEqual(trouble, []);
  await close();
});

test("the circuit says measured beside predicted with units, and how much lies between", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  for (const [units, sign] of [["si", "kPa"], ["ip", "psi"]]) {
    await goTo(page, server, `#/circuit?r=${id}&u=${units}`);
    await page.waitForSelector("h2:has-text('Measured beside predicted')", { timeout: 60000 });
    const rows = (await page.locator("tr:has-text('discharge pressure')").allInnerTexts()).map(plain);
    assert.equal(rows.length, 2);
    for (const row of rows) assert.match(row, new RegExp(`^outdoor module . discharge pressure [\\d.]+ ${sign}\\(?a\\)? [\\d.]+ ${sign}\\(?a\\)? [\\d.]+ ${sign} (lower|higher)$`));
  }
  assert.deepEqual(trouble, []);
  await close();
});

/** The demo's file a week later. */
function later(name) {
  return readFileSync(join(demo, name), "utf8").replaceAll(/\b(2026-01-)(\d\d)T/g, (_, m, d) => `${m}${String(Number(d) + 7).padStart(2, "0")}T`);
}

test("two recordings are laid over by the hour of the day", async () => {
  const other = await takeIn(server, "a week later", { "indoor.csv": later("indoor.csv"), "outdoor.csv": later("outdoor.csv") });
  // The same site: without the sheet's altitude its gauge pressures would lie beside those of the first.
  await fetch(`${server.address}/api/recordings/${other}/sheet`, { method: "PUT", body: readFileSync(demoSheet) });
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/time?r=${id}&ch=outdoor.1.discharge_temperature,outdoor.2.suction_pressure`);
  await page.getByLabel("Compare with").selectOption(other);
  await page.waitForSelector(".legend th:has-text('a week later')");
  assert.match(page.url(), new RegExp(`with=${other}`));
  const slider = page.getByRole("slider", { name: "Cursor in the recording" });
  await slider.focus();
  for (const key of ["Home", "PageDown", "Shift+ArrowRight"]) {
    await page.keyboard.press(key);
    await page.waitForFunction(() => {
      const rows = [...document.querySelectorAll(".legend tbody tr")].map((r) => [...r.querySelectorAll("td.n")].map((c) => c.textContent));
      return rows.length === 2 && rows.every(([a, b]) => /\d/.test(a) && a === b);
    });
  }
  assert.deepEqual(trouble, []);
  await close();
});

test("the cycle plays through time and stops", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/cycle?r=${id}`);
  await page.waitForSelector(".ph-cycle");
  const over = await page.evaluate(() => {
    const boxes = [...document.querySelectorAll(".ph-t, .ph-axes text")].map((t) => [t.textContent, t.getBoundingClientRect()]);
    return boxes.flatMap(([a, x], i) => boxes.slice(i + 1).filter(([, y]) => x.left < y.right && y.left < x.right && x.top < y.bottom && y.top < x.bottom).map(([b]) => `${a} over ${b}`));
  });
  assert.deepEqual(over, [], "no name of the chart lies over another");
  const at = () => page.getByRole("slider", { name: "Cursor in the recording" }).getAttribute("aria-valuenow").then(Number);
  const drawn = () => page.locator(".ph-cycle").getAttribute("d");
  const [before, path] = [await at(), await drawn()];
  await page.getByRole("button", { name: "Play" }).click();
  await page.waitForFunction(([b, d]) => Number(document.querySelector("[role=slider]").getAttribute("aria-valuenow")) > b + 600000 && document.querySelector(".ph-cycle").getAttribute("d") !== d, [before, path]);
  await page.keyboard.press("p");
  await page.getByRole("button", { name: "Play" }).waitFor();
  await page.waitForTimeout(400);
  const stopped = await at();
  await page.waitForTimeout(300);
  assert.equal(await at(), stopped);
  assert.deepEqual(trouble, []);
  await close();
});

test("two fingers zoom the time line", async () => {
  const { page, trouble, close } = await openPage(browser, server, { viewport: { width: 1024, height: 768 }, hasTouch: true });
  await goTo(page, server, `#/time?r=${id}`);
  await page.waitForSelector(".stage-lane canvas");
  const told = () => page.locator(".controls .soft").innerText();
  const whole = await told();
  const box = await page.locator(".stage-plot").boundingBox();
  const touch = await page.context().newCDPSession(page);
  const y = box.y + 60;
  const middle = box.x + box.width / 2;
  const fingers = (half) => [{ x: middle - half, y, id: 1 }, { x: middle + half, y, id: 2 }];
  await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: fingers(40) });
  for (let half = 50; half <= 200; half += 10) await touch.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: fingers(half) });
  await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  await page.waitForFunction((t) => document.querySelector(".controls .soft").textContent !== t, whole);
  // The address follows once the fingers rest.
  await page.waitForTimeout(600);
  const [from, to] = ["from", "to"].map((k) => Number(new RegExp(`${k}=(\\d+)`).exec(page.url())[1]));
  const hours = (to - from) / 3600000;
  // Fingers five times as far apart: a fifth of the 24 h is in sight, around the middle.
  assert.ok(hours > 4 && hours < 6, `${hours} h`);
  assert.deepEqual(trouble, []);
  await close();
});

test("the map of what if says what the twin says, and a cell goes onto the sliders", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, "#/whatif?machine=minimal");
  await page.getByRole("button", { name: "Cooling" }).click();
  await page.locator("summary:has-text('Faults')").click();
  await page.getByLabel(/coil blocked/).fill("0.8");
  await page.getByRole("button", { name: "Draw the map" }).click();
  await page.waitForSelector(".fate-map", { timeout: 300000 });
  assert.equal(await page.locator(".fate-map .fate").count(), 72);
  // With so little air over the coil the high pressure stops it when it is hot.
  const cell = page.locator(".fate-map tbody .fate-trips").first();
  const name = await cell.getAttribute("aria-label");
  await cell.click();
  await page.waitForFunction((n) => document.querySelector(".fate-map .fate[aria-pressed=true]")?.getAttribute("aria-label") === n, name);
  const words = name.slice(name.indexOf(": ") + 2);
  await page.waitForFunction((w) => [...document.querySelectorAll(".lead, #main .trouble")].some((e) => e.textContent.includes(w)), words);
  // The refusal comes as status 422, which the browser notes by itself.
  assert.deepEqual(trouble.filter((t) => !t.includes("422")), []);
  await close();
});

test("paper is styled under a policy without inline styles, and the saved report prints", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  const policy = (await page.goto(`${server.address}/`)).headers()["content-security-policy"];
  assert.ok(!policy.includes("unsafe"), policy);
  await goTo(page, server, `#/report?r=${id}`);
  await page.waitForSelector("iframe.paper:not(.paper-bare)");
  const look = await page.locator("iframe.paper").evaluate((f) => {
    const inner = f.contentDocument;
    return { rules: inner.adoptedStyleSheets[0].cssRules.length, family: f.contentWindow.getComputedStyle(inner.body).fontFamily, page: [...inner.adoptedStyleSheets[0].cssRules].some((r) => r.cssText.includes("@page")) };
  });
  assert.ok(look.rules > 20 && look.page, JSON.stringify(look));
  assert.ok(!/^("?Times|serif)/.test(look.family), look.family);
  const [saved] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Save as HTML" }).click()]);
  const file = join(server.folder, "saved.html");
  await saved.saveAs(file);
  const paper = await page.context().newPage();
  await paper.goto(pathToFileURL(file).href);
  const pdf = await paper.pdf({ preferCSSPageSize: true });
  assert.equal(pdf.subarray(0, 5).toString(), "%PDF-");
  const sheets = pdf.toString("latin1").match(/\/Type\s*\/Page\b/g) ?? [];
  assert.ok(sheets.length >= 2, `${sheets.length} pages`);
  assert.deepEqual(trouble.filter((t) => !t.includes("file://")), []);
  await close();
});

test("switching the units asks for words only: the page is there at once", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/verdict?r=${id}`);
  const asked = [];
  page.on("request", (r) => asked.push(`${r.method()} ${new URL(r.url()).pathname}`));
  await page.getByRole("button", { name: "inch-pound" }).click();
  await page.waitForFunction(() => document.querySelector(".findings")?.textContent?.includes("°F"));
  assert.deepEqual(asked.filter((a) => a.startsWith("POST")), [], "nothing is opened or judged again");
  assert.deepEqual(trouble, []);
  await close();
});

// Own choice: nothing is said on hover alone. Fingers and keys have none.
test("pipe sizes and the origin of a line can be read without a mouse", async () => {
  const { page, trouble, close } = await openPage(browser, server, { viewport: { width: 768, height: 1024 }, hasTouch: true });
  await goTo(page, server, `#/circuit?r=${id}`);
  await page.waitForSelector(".drawing .pipe");
  const hovered = await page.locator(".drawing .pipe title").allTextContents();
  await page.locator("summary", { hasText: "The pipes" }).tap();
  const rows = await page.locator("table.pipes tbody tr").evaluateAll((all) => all.map((tr) => [...tr.children].map((c) => c.textContent)));
  assert.ok(rows.length > 12, `${rows.length} pipes`);
  assert.deepEqual(rows.map(([name, length, rise, sizes]) => `${name}: ${length}, rise ${rise}, ${sizes}`), hovered);
  await goTo(page, server, `#/time?r=${id}`);
  await page.waitForSelector("table.legend tbody tr");
  const titles = await page.locator("table.legend th[title]").evaluateAll((all) => all.map((th) => th.title));
  const fold = page.locator("summary", { hasText: "Where these lines come from" });
  await fold.focus();
  await page.keyboard.press("Enter");
  const told = await page.locator("ul.origins li").allInnerTexts();
  assert.ok(titles.length > 0 && titles.length === told.length);
  titles.forEach((title, i) => assert.ok(title !== "" && told[i].endsWith(title), `${told[i]} | ${title}`));
  assert.deepEqual(trouble, []);
  await close();
});

test("what a column is can be said at any width without a button cut off", async () => {
  for (const width of [1440, 1024, 768]) {
    const { page, close } = await openPage(browser, server, { viewport: { width, height: 900 }, hasTouch: true });
    await goTo(page, server, "#/recordings");
    await drop(page, [join(data, "plain_words.csv")]);
    await page.getByRole("button", { name: "It is … Discharge temperature (°C)" }).tap();
    const over = await page.locator(".editor").evaluate((e) => {
      const table = e.closest(".wide-table").getBoundingClientRect();
      return [...e.querySelectorAll("input, select, button")].filter((b) => b.getBoundingClientRect().right > table.right + 0.5).map((b) => b.textContent);
    });
    assert.deepEqual(over, [], `${width}`);
    await close();
  }
});

test("a column whose unit nobody knows asks for it, and the verdict that follows begins at its top", async () => {
  const { page, trouble, close } = await openPage(browser, server, { viewport: { width: 1024, height: 600 }, hasTouch: true });
  await goTo(page, server, "#/recordings");
  // Decimal commas and headers of somebody's own, from the demo's numbers: the last one has no unit anywhere.
  const lines = readFileSync(join(demo, "outdoor.csv"), "utf8").split("\n").filter((l) => l !== "" && !l.startsWith("#")).slice(0, 400);
  const own = lines.slice(1).map((l) => l.split(",")).map((c) => [c[0].slice(0, 19), c[2], c[3], c[4]].join(";").replaceAll(".", ","));
  const file = join(server.folder, "Roof, own words.csv");
  writeFileSync(file, ["Time;Discharge pressure [kPa(g)];Suction pressure [kPa(g)];Hot line", ...own].join("\n"));
  await page.setInputFiles("input[type=file]", file);
  await page.getByRole("button", { name: "It is … Hot line" }).tap();
  await page.getByLabel("Place of Hot line").fill("outdoor.1");
  await page.getByLabel("Quantity of Hot line").selectOption("discharge_temperature");
  const use = page.getByRole("button", { name: "Use", exact: true });
  assert.equal(await use.isDisabled(), true);
  await page.locator(".which-unit").getByRole("button", { name: "degC" }).tap();
  assert.equal(await page.locator(".which-unit").count(), 0);
  await use.tap();
  await page.waitForSelector(".is:has-text('outdoor.1.discharge_temperature')");
  await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
  assert.ok(await page.evaluate(() => scrollY) > 0);
  await page.getByRole("button", { name: "Take it in and judge it" }).tap();
  await page.waitForSelector("h1 .mark");
  await settled(page);
  assert.equal(await page.evaluate(() => scrollY), 0);
  assert.deepEqual(trouble, []);
  await close();
});

test("the keyboard gets past a hundred columns in a few steps", async () => {
  const { page, trouble, close } = await openPage(browser, server, { viewport: { width: 1024, height: 768 } });
  await goTo(page, server, "#/recordings");
  const probes = Array.from({ length: 100 }, (_, i) => `probe ${i}`);
  const file = join(server.folder, "Many probes.csv");
  const rows = Array.from({ length: 30 }, (_, m) => [`2026-01-14T06:${String(m).padStart(2, "0")}:00`, 30 + m, ...probes.map((_, i) => i + m)].join(","));
  writeFileSync(file, [`time,outdoor.1.discharge_temperature [degC],${probes.join(",")}`, ...rows].join("\n"));
  await page.setInputFiles("input[type=file]", file);
  await page.getByRole("heading", { name: "What was understood" }).waitFor();
  const past = page.getByRole("link", { name: "Past the columns, to taking it in" });
  await past.waitFor({ state: "attached" });
  const box = () => past.evaluate((e) => e.getBoundingClientRect().height);
  assert.ok((await box()) < 2, "out of sight for who does not need it");
  for (let i = 0; i < 25 && !(await past.evaluate((e) => e === document.activeElement)); ++i) await page.keyboard.press("Tab");
  assert.ok((await box()) >= 43.5, "seen when it has the focus");
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.textContent.trim()), "Take it in and judge it");
  assert.deepEqual(trouble, []);
  await close();
});
