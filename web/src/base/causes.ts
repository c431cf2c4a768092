import type { Cause, Diagnosis, Point } from "../api/types.ts";
import type { Shown } from "../part/session.ts";

/** What the address says of a diagnosis, as the routes take it; what is not said is absent. */
export function diagnosisAsk(ask: Readonly<Record<string, string>>): Record<string, string> {
  const out: Record<string, string> = {};
  for (const key of ["sound", "coldest", "hottest"]) if (ask[key]) out[key] = ask[key];
  return out;
}

/** "82 %"; what rounds to none or all says so. */
export function percentText(p: number): string {
  const whole = Math.round(100 * p);
  if (p > 0 && whole < 1) return "under 1 %";
  if (p < 1 && whole > 99) return "over 99 %";
  return `${whole} %`;
}

/** Of a probability: six digits of the answer may round it to 1, and nothing is that sure. */
export function probabilityText(p: number): string {
  return percentText(Math.min(p, 0.999999));
}

/** One line of the ranking: a cause, or that nothing is wrong, or that it is something else. */
export interface Ranked {
  key: string;
  probability: number;
  cause?: Cause;
  text?: string;
}

/** Causes with "nothing" and "something else" among them, the most probable first. */
export function ranked(d: Diagnosis): Ranked[] {
  const rows: Ranked[] = d.causes.map((cause) => ({ key: `${cause.cause}@${cause.place}`, probability: cause.probability ?? 0, cause }));
  rows.push({ key: "healthy", probability: d.healthy ?? 0, text: "Nothing is wrong that these readings would show" });
  rows.push({ key: "unknown", probability: d.unknown ?? 0, text: "Something that is not in the list of causes" });
  return rows.sort((a, b) => b.probability - a.probability);
}

/** "98.2 °C seen, 84.0 °C healthy (±4.8 K), 97.1 °C with this cause" */
export function pointText(p: Point, units: Shown): string {
  const width = p.relative
    ? `${Math.round(100 * (p.uncertainty ?? 0))} %`
    : units.text(p.uncertainty, p.dimension === "temperature" ? "temperature_difference" : p.dimension);
  const value = (si: number | null) => units.text(si, p.dimension);
  return `${value(p.seen)} seen, ${value(p.healthy)} healthy (±${width}), ${value(p.with_cause)} with this cause`;
}
