// node bench/web/browser_bench.mjs [DAYS]: the workbench in Chromium with a season of 400 channels at one minute.
//
// Prints one JSON line: first paint, demo to verdict, and how long redraws block while the time line is panned and zoomed, by
// the clock and, in a second run, by the processor time of the page's main thread.
// CW_PAGES=before=DIR,after=DIR measures built pages (vite build) in turn on the same recording instead of the program's own,
// CW_ROUNDS times. CW_PROGRAM and CW_DEMO as for tests/browser. Needs web/node_modules; writes some hundred MB into the temporary folder.
import { createWriteStream, rmSync, statSync, openAsBlob, readFileSync } from "node:fs";
import { once } from "node:events";
import { loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { givePage, goTo, openPage, settled, startBrowser, startServer } from "../../tests/browser/lib.mjs";

const days = Number(process.argv[2] ?? 180);
const file = join(tmpdir(), `coilwright-season-${days}.csv`);

/** 400 channels: 4 modules and 48 units, slow waves with small steps, as in bench/ingest. */
async function writeSeason() {
  const names = [];
  for (let m = 1; m <= 4; ++m) {
    for (const q of ["discharge_pressure [kPa(a)]", "suction_pressure [kPa(a)]", "discharge_temperature [degC]", "suction_temperature [degC]", "coil_temperature [degC]", "compressor_frequency [Hz]"]) names.push(`outdoor.${m}.${q}`);
  }
  names.push("site.outdoor_temperature [degC]");
  for (let u = 1; names.length < 400; ++u) {
    for (const q of ["gas_pipe_temperature [degC]", "liquid_pipe_temperature [degC]", "controlled_temperature [degC]", "set_point [degC]", "valve_opening [%]", "return_air_temperature [degC]", "supply_air_temperature [degC]", "call"]) if (names.length < 400) names.push(`indoor.${u}.${q}`);
  }
  const out = createWriteStream(file);
  out.write(`time,${names.join(",")}\n`);
  const base = names.map((n) => (/pressure/.test(n) ? (/discharge/.test(n) ? 2900 : 800) : /frequency/.test(n) ? 60 : /valve/.test(n) ? 50 : /call/.test(n) ? 0 : 30));
  const swing = names.map((n) => (/pressure/.test(n) ? 60 : /call/.test(n) ? 0 : 6));
  let seed = 1;
  const noise = () => ((seed = (seed * 1103515245 + 12345) % 2147483648) / 2147483648 - 0.5);
  const start = Date.UTC(2025, 9, 1);
  for (let i = 0; i < days * 1440; ++i) {
    const stamp = new Date(start + i * 60000).toISOString().slice(0, 19);
    const cells = names.map((n, k) => (/call/.test(n) ? (Math.sin(i / 37 + k) > 0 ? 1 : 0) : (base[k] + swing[k] * Math.sin(i / (90 + k)) + noise()).toFixed(1)));
    if (!out.write(`${stamp},${cells.join(",")}\n`)) await once(out, "drain");
  }
  out.end();
  await once(out, "finish");
}

async function takeIn(address) {
  const post = async (path, body) => (await fetch(address + path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) })).json();
  const { id } = await post("/api/intake", {});
  const body = openAsBlob ? await openAsBlob(file) : readFileSync(file);
  const put = await fetch(`${address}/api/intake/${id}/files/season.csv`, { method: "PUT", body });
  if (!put.ok) throw new Error(await put.text());
  const { job } = await post(`/api/intake/${id}/read`, { name: "season" });
  for (;;) {
    const now = await (await fetch(`${address}/api/jobs/${job}`)).json();
    if (now.state === "done") return now.result.recording;
    if (now.state !== "running") throw new Error(JSON.stringify(now));
    await new Promise((r) => setTimeout(r, 200));
  }
}

/** Processor time of the page's own main thread [ms]: what other programs take of the machine is not in it. */
function processorTimes(trace) {
  const events = JSON.parse(trace.toString()).traceEvents;
  const main = events.filter((e) => e.name === "thread_name" && e.args.name === "CrRendererMain").map((e) => `${e.pid} ${e.tid}`);
  const mine = (name) => events.filter((e) => e.ph === "X" && e.name === name && main.includes(`${e.pid} ${e.tid}`));
  const told = (name) => {
    const all = mine(name).map((e) => (e.tdur ?? e.dur) / 1000).sort((a, b) => a - b);
    const at = (share) => Math.round(10 * (all[Math.min(all.length - 1, Math.floor(share * all.length))] ?? 0)) / 10;
    return { count: all.length, median: at(0.5), p95: at(0.95), p99: at(0.99), longest: at(1) };
  };
  const tasks = mine("ThreadControllerImpl::RunTask");
  const wall = tasks.map((e) => e.dur / 1000).sort((a, b) => a - b);
  // A script at its frame; everything that the thread did in one go, styles and painting in it.
  return {
    frame_script_cpu_ms: told("FireAnimationFrame"),
    task_cpu_ms: told("ThreadControllerImpl::RunTask"),
    task_wall_longest_ms: Math.round(10 * (wall.at(-1) ?? 0)) / 10,
    tasks_over_16_ms: { by_processor: tasks.filter((e) => (e.tdur ?? 0) > 16000).length, by_clock: tasks.filter((e) => e.dur > 16000).length },
    longest_tasks: longestTasks(tasks, events),
    over_10_ms_by_largest_step: largestSteps(tasks.filter((e) => (e.tdur ?? 0) > 10000), events),
  };
}

/** Processor time in a task by the name of each step, without that of steps inside it, the largest first. */
function stepsOf(task, events) {
  const inside = events.filter((e) => e.ph === "X" && e.pid === task.pid && e.tid === task.tid && e.ts >= task.ts && e.ts + e.dur <= task.ts + task.dur).sort((a, b) => a.ts - b.ts || b.dur - a.dur);
  const own = new Map();
  const open = [];
  for (const e of inside) {
    while (open.length > 0 && open.at(-1).ts + open.at(-1).dur <= e.ts) open.pop();
    const parent = open.at(-1);
    if (parent) own.set(parent.name, (own.get(parent.name) ?? 0) - (e.tdur ?? 0));
    own.set(e.name, (own.get(e.name) ?? 0) + (e.tdur ?? 0));
    open.push(e);
  }
  return [...own].filter(([, us]) => us > 500).sort((a, b) => b[1] - a[1]);
}

/** How many long tasks there were by the step that took most of each. */
function largestSteps(tasks, events) {
  const out = {};
  for (const task of tasks) {
    const name = stepsOf(task, events)[0]?.[0] ?? "?";
    out[name] = (out[name] ?? 0) + 1;
  }
  return out;
}

/** The longest tasks by processor time, and what was done in them. */
function longestTasks(tasks, events) {
  const round = (us) => Math.round(us / 100) / 10;
  return [...tasks].sort((a, b) => (b.tdur ?? 0) - (a.tdur ?? 0)).slice(0, 8).map((task) => ({
    clock_ms: round(task.dur),
    cpu_ms: round(task.tdur ?? 0),
    steps: Object.fromEntries(stepsOf(task, events).slice(0, 6).map(([name, us]) => [name, round(us)])),
  }));
}

async function traced(page, act) {
  await browser.startTracing(page, { categories: ["devtools.timeline", "disabled-by-default-devtools.timeline", "toplevel", "blink", "cc", "v8", "disabled-by-default-v8.gc"] });
  await act();
  return processorTimes(await browser.stopTracing());
}

/** Frames while something is done: the longest gap between two, and the longest piece of work that held one up. */
async function watched(page, act) {
  await page.evaluate(() => {
    const seen = { gaps: [], tasks: [], live: true };
    window.seen = seen;
    let before = performance.now();
    const frame = (now) => {
      seen.gaps.push(now - before);
      before = now;
      if (seen.live) requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
    try {
      new PerformanceObserver((l) => seen.tasks.push(...l.getEntries().map((e) => e.duration))).observe({ type: "long-animation-frame" });
    } catch {
      // An older browser: the gaps alone tell.
    }
    const stage = document.querySelector(".stage-plot").stage;
    Object.assign(stage.spent, { longest: 0, draws: 0, total: 0 });
  });
  await act();
  return page.evaluate(() => {
    window.seen.live = false;
    const gaps = window.seen.gaps.slice(1).sort((a, b) => a - b);
    const at = (share) => gaps[Math.min(gaps.length - 1, Math.floor(share * gaps.length))] ?? 0;
    const { longest, draws, total } = document.querySelector(".stage-plot").stage.spent;
    const round = (x) => Math.round(10 * x) / 10;
    return { frames: gaps.length, median_ms: round(at(0.5)), p95_ms: round(at(0.95)), longest_ms: round(at(1)), redraws: draws, redraw_mean_ms: round(total / Math.max(1, draws)), redraw_longest_ms: round(longest), frames_over_50_ms: window.seen.tasks.length };
  });
}

async function panAndZoom(page) {
  const box = await page.locator(".stage-plot").boundingBox();
  const x = box.x + box.width / 2;
  const y = box.y + 120;
  await page.mouse.move(x, y);
  for (let i = 0; i < 40; ++i) {
    await page.mouse.wheel(0, -120);
    await page.waitForTimeout(16);
  }
  for (let k = 0; k < 4; ++k) {
    await page.mouse.down();
    for (let i = 0; i <= 40; ++i) await page.mouse.move(x + (k % 2 ? -8 : 8) * i, y);
    await page.mouse.up();
    await page.mouse.move(x, y);
  }
  for (let i = 0; i < 40; ++i) {
    await page.mouse.wheel(0, 120);
    await page.waitForTimeout(16);
  }
}

const server = await startServer();
const browser = await startBrowser();
const result = { days };
try {
  const first = await openPage(browser, server);
  await first.page.goto(`${server.address}/`);
  await first.page.waitForSelector(".drop");
  result.first_paint_ms = Math.round(await first.page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? -1));
  result.useful_ms = Math.round(await first.page.evaluate(() => performance.now()));
  let began = Date.now();
  await first.page.getByRole("button", { name: "Open the demo recording" }).click();
  await first.page.waitForSelector("h1 .mark");
  result.demo_to_verdict_ms = Date.now() - began;
  await first.close();

  await writeSeason();
  result.file_mb = Math.round(statSync(file).size / 1e6);
  began = Date.now();
  const id = await takeIn(server.address);
  result.taken_in_s = (Date.now() - began) / 1000;
  const channels = ["outdoor.1.discharge_pressure", "outdoor.2.discharge_pressure", "outdoor.1.suction_pressure", "outdoor.1.discharge_temperature", "outdoor.2.discharge_temperature", "site.outdoor_temperature", ...[1, 2, 3, 4, 5, 6].map((u) => `indoor.${u}.gas_pipe_temperature`)];
  const pages = (process.env.CW_PAGES ?? "").split(",").filter(Boolean).map((one) => one.split("="));
  const turns = pages.length === 0
    ? [["clock", watched], ["processor", traced]]
    : Array.from({ length: Number(process.env.CW_ROUNDS ?? 2) }, (_, i) => pages.map(([name, folder]) => [`${name}_${i + 1}`, traced, folder])).flat();
  // Each in a page of its own first, which has fetched nothing yet.
  for (const [how, measure, folder] of turns) {
    const { page, close } = await openPage(browser, server);
    if (folder) await givePage(page, server, folder);
    result[`${how}_load`] = Math.round(10 * loadavg()[0]) / 10;
    await goTo(page, server, `#/time?r=${id}&ch=${channels.join(",")}`);
    await settled(page);
    await page.waitForTimeout(1500);
    result[`${how}_cold`] = await measure(page, () => panAndZoom(page));
    await page.waitForTimeout(1000);
    result[`${how}_warm`] = await measure(page, () => panAndZoom(page));
    await close();
  }
} finally {
  await browser.close();
  await server.stop();
  rmSync(file, { force: true });
}
console.log(JSON.stringify(result));
