// The report as PDF, from the page: saved, refused with a remedy, cancelled.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, test } from "node:test";
import { commandLine, demoId, goTo, openPage, plain, seriousFindings, settled, startBrowser, startServer } from "./lib.mjs";

let browser;
before(async () => {
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
});

async function served(env, act) {
  const server = await startServer(env);
  try {
    await act(server, await demoId(server));
  } finally {
    await server.stop();
  }
}

/** Page objects and sizes [points] of a PDF; they stand uncompressed in what this browser writes. */
function pagesOf(pdf) {
  const text = pdf.toString("latin1");
  const boxes = [...text.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((m) => [Number(m[1]), Number(m[2])]);
  return { count: [...text.matchAll(/\/Type \/Page\b(?!s)/g)].length, boxes };
}

// A4 is 210 mm by 297 mm (ISO 216), Letter 8.5 by 11 inch; 72 points an inch, rounded to pixels of 0.75 points.
for (const [units, width, height] of [["si", 595.3, 841.9], ["ip", 612, 792]]) {
  test(`the report is saved as PDF on the paper of the units, ${units}`, () =>
    served({}, async (server, id) => {
      const { page, trouble, close } = await openPage(browser, server);
      await goTo(page, server, `#/report?r=${id}&u=${units}`);
      await page.waitForSelector("iframe.paper");
      await page.getByLabel("Remarks").fill("Roof hatch was locked.");
      const [saved] = await Promise.all([
        page.waitForEvent("download", { timeout: 120000 }),
        page.getByRole("button", { name: "Save as PDF" }).click(),
      ]);
      assert.match(saved.suggestedFilename(), /^Demo.*\.pdf$/);
      const file = await saved.path();
      const pdf = readFileSync(file);
      assert.equal(pdf.subarray(0, 5).toString(), "%PDF-");
      const { count, boxes } = pagesOf(pdf);
      assert.ok(count >= 4, `${count} pages`);
      for (const [w, h] of boxes) assert.ok(Math.abs(w - width) < 1 && Math.abs(h - height) < 1, `${w} x ${h}`);
      // What stands on it, where a reader of PDF is here (poppler-utils).
      const read = spawnSync("pdftotext", [file, "-"], { encoding: "utf8" });
      if (read.status === 0) {
        const text = plain(read.stdout);
        assert.ok(text.includes("Roof hatch was locked."));
        assert.ok(text.includes(units === "ip" ? "°F" : "°C"));
      }
      await page.waitForSelector("[role=status]:has-text('Saved')");
      assert.deepEqual(await seriousFindings(page), []);
      assert.deepEqual(trouble, []);
      await close();
    }));
}

test("where the program has nothing to print with, the browser's own print is the remedy", () =>
  served({ COILWRIGHT_BROWSER: "/nowhere/chromium" }, async (server, id) => {
    const { page, trouble, close } = await openPage(browser, server);
    await goTo(page, server, `#/report?r=${id}`);
    await page.waitForSelector("iframe.paper");
    await page.getByRole("button", { name: "Save as PDF" }).click();
    const refusal = page.locator(".trouble");
    await refusal.waitFor();
    assert.match(await refusal.innerText(), /Print from your browser instead/);
    assert.deepEqual(await seriousFindings(page), []);
    await page.evaluate(() => {
      document.querySelector("iframe.paper").contentWindow.print = () => (window.wasPrinted = true);
    });
    await page.getByRole("button", { name: "Print from this browser" }).click();
    assert.equal(await page.evaluate(() => window.wasPrinted), true);
    // The refusal comes as status 422, which the browser notes by itself.
    assert.deepEqual(trouble.filter((t) => !t.includes("422")), []);
    await close();
  }));

test("printing can be cancelled", async () => {
  const place = mkdtempSync(join(tmpdir(), "coilwright-slow-"));
  const slow = join(place, "slow");
  writeFileSync(slow, "#!/bin/sh\nsleep 600\n");
  chmodSync(slow, 0o700);
  try {
    await served({ COILWRIGHT_BROWSER: slow }, async (server, id) => {
      const { page, trouble, close } = await openPage(browser, server);
      await goTo(page, server, `#/report?r=${id}`);
      await page.waitForSelector("iframe.paper");
      await page.getByRole("button", { name: "Save as PDF" }).click();
      await page.getByRole("button", { name: "Cancel" }).click();
      await settled(page);
      assert.equal(await page.locator(".working, .trouble").count(), 0);
      await page.getByRole("button", { name: "Save as PDF" }).click();
      await page.waitForSelector(".working");
      assert.deepEqual(trouble, []);
      await close();
    });
  } finally {
    rmSync(place, { recursive: true, force: true });
  }
});

// Own choice: a sheet that is handed over is one page; a second one with the signature alone gets lost.
const oneSheet = {
  altitude: ["--altitude", "1600m", "--reading", "0.75MPa(g)", "--refrigerant", "R-410A"],
  weigh: ["--readings", "30.20kg,28.95kg,27.40kg", "--refrigerant", "R-410A", "--tare", "12.0kg", "--water-capacity", "21.6kg"],
  "leak-rate": ["--full", "24kg", "--refrigerant", "R-410A", "--rule", "eu-2024-573", "--last-check", "2026-01-10"],
};
for (const units of ["si", "ip"]) {
  test(`field sheets that are to be handed over are one page, ${units}`, async () => {
    const place = mkdtempSync(join(tmpdir(), "coilwright-sheets-"));
    const page = await browser.newPage();
    try {
      for (const [name, words] of Object.entries(oneSheet)) {
        const file = join(place, `${name}.html`);
        commandLine(name, ...words, "--units", units, "--html", file);
        await page.goto(pathToFileURL(file).href);
        const { count, boxes } = pagesOf(await page.pdf({ preferCSSPageSize: true }));
        assert.equal(count, 1, name);
        // Letter for inch-pound, A4 else, as above.
        assert.ok(Math.abs(boxes[0][1] - (units === "ip" ? 792 : 841.9)) < 1, `${boxes[0]}`);
        const text = plain(await page.locator("body").innerText());
        assert.ok(text.includes("Date, time") && !text.includes("delta_"), text);
      }
    } finally {
      await page.close();
      rmSync(place, { recursive: true, force: true });
    }
  });
}
