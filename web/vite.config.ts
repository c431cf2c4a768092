import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { defineConfig, type Plugin } from "vite";

/** Packages of other people that end up in the page, from the lock file's own graph. */
function shippedPackages(root: string): string[] {
  const found = new Set<string>();
  const add = (name: string) => {
    const file = join(root, "node_modules", name, "package.json");
    if (found.has(name) || !existsSync(file)) return;
    found.add(name);
    const { dependencies = {} } = JSON.parse(readFileSync(file, "utf8")) as { dependencies?: Record<string, string> };
    Object.keys(dependencies).forEach(add);
  };
  const own = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as { dependencies: Record<string, string> };
  Object.keys(own.dependencies).forEach(add);
  return [...found].sort();
}

/** Their licences go along with the page, as they ask. */
function licences(root: string): Plugin {
  return {
    name: "coilwright-licences",
    generateBundle() {
      const texts = shippedPackages(root).map((name) => {
        const folder = join(root, "node_modules", name);
        const { version } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8")) as { version: string };
        return `${name} ${version}\n\n${readFileSync(join(folder, "LICENSE"), "utf8").trim()}\n`;
      });
      const head = "The workbench's page contains the following software of other people.\n";
      this.emitFile({ type: "asset", fileName: "licences.txt", source: [head, ...texts].join("\n----\n\n") });
    },
  };
}

// Relative addresses, no inlined assets (the page's policy allows own files only), no source maps in the program.
export default defineConfig({
  base: "./",
  plugins: [licences(import.meta.dirname ?? process.cwd())],
  esbuild: { jsx: "automatic", jsxImportSource: "preact", legalComments: "none" },
  build: {
    target: "es2022",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    cssCodeSplit: false,
  },
});
