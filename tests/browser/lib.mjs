// What the browser tests share: the program's server on a free port, one Chromium, pages that remember what went wrong.
import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, extname, join } from "node:path";

export const root = process.env.CW_SOURCE ?? join(import.meta.dirname ?? new URL(".", import.meta.url).pathname, "../..");
export const program = process.env.CW_PROGRAM ?? join(root, "build/ci/coilwright");
export const demo = process.env.CW_DEMO ?? join(root, "build/ci/demo");
export const data = join(root, "tests/browser/data");
/** The system sheet of the demo's machine. */
export const demoSheet = join(root, "data/systems/demo_office.toml");
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

/** Starts `coilwright serve` on a folder of its own; `env` beside what this process has. */
export async function startServer(env = {}) {
  const folder = mkdtempSync(join(tmpdir(), "coilwright-browser-"));
  const child = spawn(program, ["serve", "--folder", folder, "--port", "0"], { stdio: ["ignore", "pipe", "pipe"], env: { ...process.env, ...env } });
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
    pid: child.pid,
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

/** Another page than the program's own, where CW_PAGE names a folder that vite has built: what it asks goes to the program. */
export async function givePage(page, server, folder = process.env.CW_PAGE) {
  if (!folder) return;
  const types = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css" };
  await page.route((url) => url.href.startsWith(server.address) && !url.pathname.startsWith("/api/"), (route) => {
    const path = new URL(route.request().url()).pathname;
    const file = join(folder, path === "/" ? "index.html" : path);
    return existsSync(file) ? route.fulfill({ body: readFileSync(file), contentType: types[extname(file)] ?? "text/plain" }) : route.continue();
  });
}

/** A page that notes console errors, refusals by the page policy and requests that leave the machine. */
export async function openPage(browser, server, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, ...options });
  const page = await context.newPage();
  await givePage(page, server);
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
  // Guards against hanging, no measurements: looking for causes takes its time on a busy machine.
  const timeout = 240000;
  await page.waitForSelector("#main h1, #main .trouble", { timeout });
  await page.waitForFunction(() => !document.querySelector("#main .working"), undefined, { timeout });
  // A view that has just come may ask for more at once; what the twin is asked in the background may go on.
  await page.waitForTimeout(200);
  await page.waitForFunction(() => !document.querySelector("#main .working"), undefined, { timeout });
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

/** Drops files on the page as a hand would: an event with the files in it, not chosen paths. */
export async function drop(page, files) {
  const transfer = await page.evaluateHandle(
    (all) => {
      const t = new DataTransfer();
      for (const [name, content] of all) t.items.add(new File([content], name, { type: "text/plain" }));
      return t;
    },
    files.map((file) => [basename(file), readFileSync(file, "utf8")]),
  );
  await page.dispatchEvent(".drop", "drop", { dataTransfer: transfer });
}

async function post(server, path, body) {
  const answer = await fetch(server.address + path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
  return answer.json();
}

/** The demo recording, taken in. */
export async function demoId(server) {
  return (await post(server, "/api/recordings/demo", {})).id;
}

/** Takes in files by name and text; gives the recording's id. */
export async function takeIn(server, name, files) {
  const { id } = await post(server, "/api/intake", {});
  for (const [file, body] of Object.entries(files)) {
    const put = await fetch(`${server.address}/api/intake/${id}/files/${file}`, { method: "PUT", body });
    if (!put.ok) throw new Error(await put.text());
  }
  const { job } = await post(server, `/api/intake/${id}/read`, { name });
  for (;;) {
    const now = await (await fetch(`${server.address}/api/jobs/${job}`)).json();
    if (now.state === "done") return now.result.recording;
    if (now.state !== "running") throw new Error(JSON.stringify(now));
    await new Promise((r) => setTimeout(r, 100));
  }
}

/**
 * A recording of a small machine with a fault, made by the program's own model: a sheet and a log in the folder of the
 * server. As tests/diagnose/simulated_test.cc has it, where the cause is named.
 */
export function simulated(server, fault) {
  const folder = mkdtempSync(join(server.folder, "simulated-"));
  const sheet = join(folder, "system.toml");
  writeFileSync(sheet, 'name = "test machine"\nrefrigerant = "R-410A"\n[[outdoor]]\ncooling = "12 kW"\n[[indoor]]\ncount = 3\ncooling = "4 kW"\n[piping]\nmain = "10 m"\nbranch = "4 m"\n');
  const scenario = join(folder, "scenario.toml");
  writeFileSync(scenario, `system = "system.toml"
start = 2026-01-20T10:00:00
duration = "50 min"
warm_up = "60 min"
rooms = "26 degC"
seed = 5
[weather]
mean = "32 degC"
swing = "4 K"
humidity = "55 %"
[plant]
mode = "cooling"
[schedule]
set_point = "20 degC"
call = "always"
gains = "2500 W"
[[fault]]
${fault}
`);
  commandLine("simulate", scenario, "-o", join(folder, "out"));
  return { sheet, log: join(folder, "out", "recording.csv") };
}

export const plain = (text) => text.replaceAll(/[\s\u00a0\u202f]+/g, " ").trim();

export async function shownVerdict(page) {
  await settled(page);
  return {
    word: plain(await page.locator("h1 .mark").innerText()),
    healthy: plain(await page.locator("h1 .answer").innerText()),
    wrong: (await page.locator("h2:has-text('What is wrong') + ol .finding p").allInnerTexts()).map(plain),
    open: (await page.locator("h2:has-text('could not be judged') ~ ol .finding p").allInnerTexts()).map(plain),
  };
}

/** A sentence of the command line as the page shows it: the verdict's word stands apart as a mark. */
export function sentence(text) {
  const bare = plain(text).replace(/^(fault|watch|unproven): /, "");
  return bare.charAt(0).toUpperCase() + bare.slice(1);
}
