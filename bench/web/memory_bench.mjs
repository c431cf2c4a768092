// node bench/web/memory_bench.mjs [DAYS] [CHANNELS] [RECORDINGS]: what the server holds when many recordings are open.
//
// Takes in the same invented season under so many names, then asks each for its verdict in both unit systems and for every
// channel of its time line, and prints one JSON line with the resident memory of the server after each: its own, and
// that of mapped files [MB].
// CW_PROGRAM as for tests/browser.
import { readFileSync } from "node:fs";
import { startServer, takeIn } from "../../tests/browser/lib.mjs";

const days = Number(process.argv[2] ?? 60);
const wanted = Number(process.argv[3] ?? 200);
const count = Number(process.argv[4] ?? 10);

function season() {
  const names = ["outdoor.1.discharge_pressure [kPa(a)]", "outdoor.1.suction_pressure [kPa(a)]", "outdoor.1.discharge_temperature [degC]", "outdoor.1.compressor_frequency [Hz]", "site.outdoor_temperature [degC]"];
  for (let u = 1; names.length < wanted; ++u) {
    for (const q of ["gas_pipe_temperature", "liquid_pipe_temperature", "controlled_temperature", "set_point", "return_air_temperature", "supply_air_temperature"]) if (names.length < wanted) names.push(`indoor.${u}.${q} [degC]`);
  }
  const base = names.map((n) => (n.includes("discharge_pressure") ? 2900 : n.includes("pressure") ? 800 : n.includes("frequency") ? 60 : 30));
  const lines = [`time,${names.join(",")}`];
  const start = Date.UTC(2025, 9, 1);
  for (let i = 0; i < days * 1440; ++i) {
    const stamp = new Date(start + i * 60000).toISOString().slice(0, 19);
    lines.push(`${stamp},${base.map((b, k) => (b + 5 * Math.sin(i / (90 + k))).toFixed(1)).join(",")}`);
  }
  return lines.join("\n");
}

const server = await startServer();
/** Memory of its own, and pages of mapped files, which the system takes back when it needs them [MB]. */
const resident = () => {
  const status = readFileSync(`/proc/${server.pid}/status`, "utf8");
  return ["RssAnon", "RssFile"].map((key) => Math.round(Number(new RegExp(`${key}:\\s+(\\d+)`).exec(status)[1]) / 1024));
};
const result = { days, channels: wanted, start_mb: resident(), taken_in_mb: [], open_mb: [] };
try {
  const text = season();
  result.file_mb = Math.round(text.length / 1e6);
  result.cells_mb = Math.round((4 * days * 1440 * wanted) / 1e6);
  const ids = [];
  for (let i = 0; i < count; ++i) {
    ids.push(await takeIn(server, `season ${i}`, { "season.csv": text }));
    result.taken_in_mb.push(resident());
  }
  for (const id of ids) {
    const at = `${server.address}/api/recordings/${id}`;
    for (const units of ["si", "ip"]) await (await fetch(`${at}/verdict?units=${units}`)).arrayBuffer();
    const { channels } = await (await fetch(`${at}/channels`)).json();
    for (let k = 0; k < channels.length; k += 64) {
      const names = channels.slice(k, k + 64).map((c) => `channel=${encodeURIComponent(c.name)}`);
      await (await fetch(`${at}/series?${names.join("&")}&points=2000`)).arrayBuffer();
    }
    result.open_mb.push(resident());
  }
} finally {
  await server.stop();
}
console.log(JSON.stringify(result));
