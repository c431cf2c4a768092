// What the browser tests share: the program's server on a free port, one Chromium, pages that remember what went wrong.
import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

export const root = process.env.CW_SOURCE ?? join(import.meta.dirname ?? new URL(".", import.meta.url).pathname, "../..");
export const program = process.env.CW_PROGRAM ?? join(root, "build/ci/src/cli/coilwright");
export const demo = process.env.CW_DEMO ?? join(root, "build/ci/demo");
const require = createRequire(join(root, "web/package.json"));
const { chromium } = require("playwright-core");
const axeSource = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export function chromiumPath() {
  return ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find((p) => existsSync(p));
}

/** The command line's own answer. */
export function commandLine(...words) {
  return execFileSync(program, words, { encoding: "utf8", maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"] });
}

/** Starts `coilwright serve` on a folder of its own. */
export async function startServer() {
  const folder = mkdtempSync(join(tmpdir(), "coilwright-browser-"));
  const child = spawn(program, ["serve", "--folder", folder, "--port", "0"], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const address = await new Promise((resolve, reject) => {
    const look = (text) => {
      said += text;
      const found = /http:\/\/[^\s]+/.exec(said);
      if (found) resolve(found[0].replace(/\/$/, ""));
    };
    child.stdout.on("data", look);
    child.stderr.on("data", (text) => (said += text));
    child.on("error", reject);
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  return {
    address,
    folder,
    async stop() {
      const ended = new Promise((resolve) => child.on("exit", resolve));
      child.kill("SIGTERM");
      await ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export async function startBrowser() {
  return chromium.launch({
    executablePath: chromiumPath(),
    args: ["--no-sandbox", "--disable-gpu", "--force-device-scale-factor=1"],
  });
}

/** A page that notes console errors, refusals by the page policy and requests that leave the machine. */
export async function openPage(browser, server, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, ...options });
  const page = await context.newPage();
  const trouble = [];
  page.on("console", (m) => {
    if (m.type() === "error" || m.type() === "warning") trouble.push(`console ${m.type()}: ${m.text()}`);
  });
  page.on("pageerror", (e) => trouble.push(`page error: ${e.message}`));
  page.on("request", (r) => {
    const url = r.url();
    if (!url.startsWith(`${server.address}/`) && !/^(data|blob|about):/.test(url)) trouble.push(`left the machine: ${url}`);
  });
  page.on("requestfailed", (r) => {
    const why = r.failure()?.errorText ?? "";
    if (!why.includes("ABORTED")) trouble.push(`request failed: ${r.url()} ${why}`);
  });
  return { page, trouble, close: () => context.close() };
}

/** Goes to a view and waits until nothing is being worked on. */
export async function goTo(page, server, hash) {
  await page.goto(`${server.address}/${hash}`);
  await settled(page);
}

export async function settled(page) {
  await page.waitForSelector("#main h1, #main .trouble", { timeout: 60000 });
  await page.waitForFunction(() => !document.querySelector("#main .working"), undefined, { timeout: 60000 });
  // A view that has just come may ask for more at once; what the twin is asked in the background may go on.
  await page.waitForTimeout(200);
  await page.waitForFunction(() => !document.querySelector("#main .working"), undefined, { timeout: 60000 });
}

/** Findings of axe that are serious or worse, in words. */
export async function seriousFindings(page) {
  // Given to the page from outside: its policy allows no foreign script, and must not.
  await page.evaluate(axeSource);
  const result = await page.evaluate(async () => {
    const found = await window.axe.run(document, { resultTypes: ["violations"], iframes: false });
    return found.violations
      .filter((v) => v.impact === "serious" || v.impact === "critical")
      .map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 4).map((n) => n.html.slice(0, 160)).join(" | ")}`);
  });
  return result;
}
