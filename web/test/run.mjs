// Bundles the unit tests for node and runs them with its own test runner: node 18 reads no TypeScript.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));
const out = mkdtempSync(join(tmpdir(), "coilwright-test-"));
const files = readdirSync(here).filter((name) => name.endsWith(".test.ts"));
try {
  await build({
    entryPoints: files.map((name) => join(here, name)),
    outdir: out,
    bundle: true,
    platform: "node",
    format: "esm",
    outExtension: { ".js": ".mjs" },
    logLevel: "warning",
  });
  const tests = readdirSync(out).map((name) => join(out, name));
  process.exitCode = spawnSync(process.execPath, ["--test", ...tests], { stdio: "inherit" }).status ?? 1;
} finally {
  rmSync(out, { recursive: true, force: true });
}
