import type { Check } from "../api/types.ts";
import { placeWords } from "./names.ts";

/** Something that no column is understood as, and how many judgements wait for it. */
export interface Wanting {
  label: string;
  /** Where it is wanted, in words; empty where any place will do. */
  places: string[];
  checks: number;
}

interface Quantity {
  name: string;
  label: string;
}

/** What open judgements need and the recording has not, what most hang on first. */
export function wanting(checks: readonly Pick<Check, "verdict" | "missing">[], quantities: readonly Quantity[]): Wanting[] {
  const labels = new Map(quantities.map((q) => [q.name, q.label]));
  const out = new Map<string, Wanting>();
  for (const check of checks) {
    const missing = check.missing ?? [];
    for (const quantity of new Set(missing.map(quantityOf))) {
      const label = labels.get(quantity) ?? quantity.replaceAll("_", " ");
      const places = missing.filter((c) => quantityOf(c) === quantity).map(placeOf);
      const known = out.get(label) ?? { label, places: [], checks: 0 };
      out.set(label, { label, places: [...new Set([...known.places, ...places])].filter(Boolean), checks: known.checks + 1 });
    }
  }
  return [...out.values()].sort((a, b) => b.checks - a.checks);
}

function quantityOf(channel: string): string {
  return channel.slice(channel.lastIndexOf(".") + 1);
}

function placeOf(channel: string): string {
  const place = channel.slice(0, Math.max(0, channel.lastIndexOf(".")));
  return place === "site" || place === "system" ? "" : placeWords(place);
}
