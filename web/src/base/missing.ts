import type { Check } from "../api/types.ts";
import { placeWords } from "./names.ts";

/** Something that no column is understood as, and how many judgements wait for it. */
export interface Wanting {
  label: string;
  /** Where it is wanted, in words; empty where any place will do. */
  places: string[];
  checks: number;
}

const channelName = /\b(?:site|system|(?:outdoor|indoor|branch)\.\w+(?:\.compressor\.\w+)?)\.([a-z][a-z_]+)\b/g;

/** The channels that a check asks to be recorded: its `proof` names them as the log would have to. */
export function asksFor(check: Pick<Check, "proof">): string[] {
  return [...new Set([...(check.proof ?? "").matchAll(channelName)].map((m) => m[0]))];
}

/**
 * What open checks ask for and the recording has not, what most hang on first. A check that has all that it asks for lacks
 * time or conditions, not columns.
 */
export function wanting(checks: readonly Check[], have: readonly string[], quantities: readonly { name: string; label: string }[]): Wanting[] {
  const here = new Set(have);
  const labels = new Map(quantities.map((q) => [q.name, q.label]));
  const out = new Map<string, Wanting>();
  for (const check of checks) {
    if (check.verdict !== "unproven") continue;
    for (const label of new Set(asksFor(check).filter((c) => !here.has(c)).map(labelOf))) {
      const places = asksFor(check).filter((c) => !here.has(c) && labelOf(c) === label).map(placeOf);
      const known = out.get(label) ?? { label, places: [], checks: 0 };
      out.set(label, { label, places: [...new Set([...known.places, ...places])].filter(Boolean), checks: known.checks + 1 });
    }
  }
  return [...out.values()].sort((a, b) => b.checks - a.checks);

  function labelOf(channel: string): string {
    const quantity = channel.slice(channel.lastIndexOf(".") + 1);
    return labels.get(quantity) ?? quantity.replaceAll("_", " ");
  }
  function placeOf(channel: string): string {
    const place = channel.slice(0, channel.lastIndexOf("."));
    return place === "site" || place === "system" ? "" : placeWords(place);
  }
}
