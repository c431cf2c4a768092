// Everyone can use it: axe, keyboard, narrow screens, no errors, nothing that leaves the machine.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { goTo, openPage, seriousFindings, settled, startBrowser, startServer } from "./lib.mjs";

const views = ["recordings", "verdict", "causes", "time", "cycle", "circuit", "units", "whatif", "fieldwork", "report"];
let server;
let browser;
let id;
before(async () => {
  server = await startServer();
  browser = await startBrowser();
  const { page, close } = await openPage(browser, server);
  await goTo(page, server, "#/recordings");
  id = await page.evaluate(async () => (await (await fetch("/api/recordings/demo", { method: "POST", headers: { "content-type": "application/json" }, body: "{}" })).json()).id);
  await close();
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

for (const theme of ["light", "dark", "sun"]) {
  test(`axe finds nothing serious on any page, ${theme}`, async () => {
    const { page, trouble, close } = await openPage(browser, server);
    await page.addInitScript((t) => localStorage.setItem("coilwright.theme", t), theme);
    for (const view of [...views, "columns", "fieldwork&p=tightness"]) {
      const [name, ask] = view.split("&");
      await goTo(page, server, `#/${name}?r=${id}${ask ? `&${ask}` : ""}`);
      await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
      assert.deepEqual(await seriousFindings(page), [], view);
    }
    assert.deepEqual(trouble, []);
    await close();
  });
}

test("no page is wider than its screen, and every way is in sight", async () => {
  for (const width of [1440, 1024, 768]) {
    const { page, close } = await openPage(browser, server, { viewport: { width, height: 1000 } });
    // The largest letters of the three.
    await page.addInitScript(() => localStorage.setItem("coilwright.theme", "sun"));
    for (const view of [...views, "columns"]) {
      await goTo(page, server, `#/${view}?r=${id}`);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(over <= 0, `${view} at ${width}: ${over} px too wide`);
      const ways = await page.locator(".ways").evaluate((e) => e.scrollWidth - e.clientWidth);
      assert.ok(ways <= 0, `${view} at ${width}: the ways are ${ways} px too wide`);
    }
    await close();
  }
});

test("every button can be hit with a finger in a glove on a tablet", async () => {
  const { page, close } = await openPage(browser, server, { viewport: { width: 768, height: 1024 }, hasTouch: true });
  for (const view of [...views, "columns"]) {
    await goTo(page, server, `#/${view}?r=${id}`);
    // WCAG 2.2, success criterion 2.5.8 asks for targets of at least 24 by 24 CSS pixels; 44 is our own choice.
    const [seen, small] = await page.evaluate(() => {
      const nameOf = (e) => e.getAttribute("aria-label") || e.textContent.trim() || e.labels?.[0]?.textContent.trim() || e.outerHTML.slice(0, 80);
      // A slider is dragged along its whole length; a tick is hit by its label.
      const all = [...document.querySelectorAll("button, .button, .name, .roomy, nav a, select, input:not([type=file]):not([type=range]):not(.hidden), summary")]
        .filter((e) => e.checkVisibility?.() !== false && e.getBoundingClientRect().width > 0)
        .filter((e) => !e.closest("label.tick"));
      const boxes = all.map((e) => [e.getBoundingClientRect(), `${e.tagName.toLowerCase()} "${nameOf(e)}"`]);
      return [boxes.length, boxes.filter(([b]) => b.height < 43.5 || b.width < 43.5).map(([b, t]) => `${t} ${Math.round(b.width)}x${Math.round(b.height)}`)];
    });
    assert.ok(seen > 5, `${view}: only ${seen} to hit`);
    assert.deepEqual(small, [], view);
  }
  await close();
});

test("links that stand alone have room for a finger", async () => {
  const { page, close } = await openPage(browser, server, { viewport: { width: 768, height: 1024 }, hasTouch: true });
  for (const view of [...views, "columns"]) {
    await goTo(page, server, `#/${view}?r=${id}`);
    await page.evaluate(() => document.querySelectorAll("#main details").forEach((d) => (d.open = true)));
    // WCAG 2.2, 2.5.8 leaves out links within a sentence; none of ours is smaller all the same but in running text.
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("#main a, #main input[type=checkbox], [role=slider]")]
        .filter((e) => e.offsetParent && !(e.tagName === "A" && getComputedStyle(e).display === "inline" && e.parentElement.textContent.trim() !== e.textContent.trim()))
        .map((e) => [e.getBoundingClientRect(), e.textContent])
        .filter(([b]) => b.width > 1 && (b.width < 24 || b.height < 24))
        .map(([b, t]) => `${t} ${Math.round(b.width)}x${Math.round(b.height)}`),
    );
    assert.deepEqual(small, [], view);
  }
  await close();
});

for (const width of [1440, 768]) {
  test(`what the Tab key reaches shows it and is not left behind the strip or the ways, ${width}`, async () => {
    const { page, close } = await openPage(browser, server, { viewport: { width, height: 900 } });
    for (const view of ["verdict", "units", "columns", "report", "fieldwork&p=tightness"]) {
      const [name, ask] = view.split("&");
      await goTo(page, server, `#/${name}?r=${id}${ask ? `&${ask}` : ""}`);
      await page.evaluate(() => document.querySelectorAll("#main details").forEach((d) => (d.open = true)));
      for (const key of ["Tab", "Shift+Tab"]) {
        for (let i = 0; i < 40; ++i) {
          await page.keyboard.press(key);
          const wrong = await page.evaluate(() => {
            const e = document.activeElement;
            // A table that is longer than the screen has its top above it.
            if (!e || e === document.body || e.matches("h1, main, .skip, .wide-table, .places")) return "";
            const box = e.getBoundingClientRect();
            const at = document.elementFromPoint(box.left + Math.min(box.width / 2, 40), box.top + Math.min(box.height / 2, 20));
            const style = getComputedStyle(e);
            if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) return `no ring: ${e.outerHTML.slice(0, 120)}`;
            if (!at || !(e.contains(at) || at.contains(e))) return `behind ${at?.outerHTML.slice(0, 60)}: ${e.outerHTML.slice(0, 120)}`;
            return "";
          });
          assert.equal(wrong, "", `${view}, ${key}`);
        }
      }
    }
    await close();
  });
}

test("the keyboard reaches every view, moves the cursor and works the time line", async () => {
  const { page, trouble, close } = await openPage(browser, server);
  await goTo(page, server, `#/verdict?r=${id}`);
  for (const [i, view] of views.entries()) {
    await page.keyboard.press(String((i + 1) % 10));
    await page.waitForFunction((v) => location.hash.startsWith(`#/${v}`), view);
    await settled(page);
  }
  await page.keyboard.press("4");
  await page.waitForSelector(".stage-lane canvas");
  await settled(page);
  const slider = page.getByRole("slider", { name: "Cursor in the recording" });
  await slider.focus();
  const before = Number(await slider.getAttribute("aria-valuenow"));
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((b) => Number(document.querySelector("[role=slider]").getAttribute("aria-valuenow")) > b, before);
  assert.equal(Number(await slider.getAttribute("aria-valuenow")) - before, 30000, "one reading of the demo is 30 s");
  const told = () => page.locator(".controls .soft").innerText();
  const whole = await told();
  await page.keyboard.press("+");
  await page.waitForFunction((t) => document.querySelector(".controls .soft").textContent !== t, whole);
  await page.keyboard.press("w");
  await page.waitForFunction((t) => document.querySelector(".controls .soft").textContent === t, whole);
  await page.keyboard.press("u");
  await page.waitForFunction(() => location.hash.includes("u=ip"));
  await page.keyboard.press("?");
  await page.waitForSelector("dialog[open]");
  await page.keyboard.press("Escape");
  await page.keyboard.press("Tab");
  const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  assert.notEqual(ring, "none", "what has the focus shows it");
  assert.deepEqual(trouble, []);
  await close();
});

test("an address of a recording that is gone says so and leads on", async () => {
  const { page, close } = await openPage(browser, server);
  await goTo(page, server, "#/verdict?r=abcdefghijkl");
  await page.waitForSelector(".trouble");
  await page.getByRole("link", { name: "Go to the recordings" }).click();
  await page.waitForSelector(".drop");
  await close();
});
