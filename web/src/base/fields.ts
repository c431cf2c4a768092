import type { UnitSystem } from "./units.ts";

const inchPound = /^(degF|°F|psi|lb|oz|ft|in|gal|cfm|Btu|microns?|um|F$|ton)/i;

/** The unit that a field begins with: the first of its choices that belongs to the display system. */
export function fieldKinds(choices: readonly string[], system: UnitSystem): string {
  const fits = choices.find((u) => inchPound.test(u) === (system === "ip"));
  return fits ?? choices[0] ?? "";
}

/**
 * What was typed with its unit, as the command line takes it; a text that brings its own unit keeps it. Where several
 * values are asked for (`several`), commas part them; else a comma between digits is that of a decimal fraction: "4,15".
 */
export function withUnit({ text, unit }: { text: string; unit: string }, several = false): string {
  const trimmed = several ? text.trim() : text.trim().replace(/^([-+−]?\d+),(\d+)(?![\d.,])/, "$1.$2");
  if (trimmed === "" || unit === "") return trimmed;
  const parts = trimmed.split(",").map((p) => p.trim());
  return parts.map((p) => (/^[-+−]?[\d.]+(e[-+]?\d+)?$/i.test(p) ? `${p.replace("−", "-")}${unit}` : p)).join(",");
}
