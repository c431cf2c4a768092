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
const bareName = /(?<![\w.])[a-z]+(?:_[a-z]+)*(?![\w.]\w)/g;

interface Quantity {
  name: string;
  label: string;
}

/**
 * The channels that a check asks to be recorded: its `proof` names them as the log would have to. A quantity without a place
 * ("set_point of each indoor unit") stands for itself; alternatives in brackets are left out.
 */
export function asksFor(check: Pick<Check, "proof">, quantities: readonly Pick<Quantity, "name">[] = []): string[] {
  const proof = (check.proof ?? "").replaceAll(/\(or [^)]*\)/g, "");
  const channels = [...proof.matchAll(channelName)].map((m) => m[0]);
  const known = new Set(quantities.map((q) => q.name));
  const bare = [...proof.replaceAll(channelName, "").matchAll(bareName)].map((m) => m[0]).filter((w) => known.has(w) && (w.includes("_") || w === "call"));
  return [...new Set([...channels, ...bare])];
}

/**
 * What open checks ask for and the recording has not, what most hang on first. A check that has all that it asks for lacks
 * time or conditions, not columns.
 */
export function wanting(checks: readonly Check[], have: readonly string[], quantities: readonly Quantity[]): Wanting[] {
  const here = new Set(have);
  const measured = new Set(have.map(quantityOf));
  const labels = new Map(quantities.map((q) => [q.name, q.label]));
  const lacks = (channel: string) => !(channel.includes(".") ? here.has(channel) : measured.has(channel));
  const out = new Map<string, Wanting>();
  for (const check of checks) {
    if (check.verdict !== "unproven") continue;
    const missing = asksFor(check, quantities).filter(lacks);
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
