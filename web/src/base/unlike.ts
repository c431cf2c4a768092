import type { VerdictJson } from "../api/types.ts";
import type { Shown } from "../part/session.ts";

/** What two recordings that are compared were judged with. */
export interface Ground {
  verdict: Pick<VerdictJson, "refrigerant" | "barometric_pressure">;
  /** Text of the system sheet; null without one. */
  sheet: string | null;
}

/** Pressures of two places or days that differ by less make no difference to a reading here [Pa]. Own choice: 5 m of height. */
const alike = 60;

/**
 * In what the grounds of two recordings differ, in sentences: a difference between their readings may come from there.
 * `oneSheet`: the sheet of the first is used for both, whatever the second one has.
 */
export function unlike(here: Ground, there: Ground, units: Shown, oneSheet: boolean): string[] {
  const out: string[] = [];
  const [a, b] = [here.verdict.barometric_pressure.value, there.verdict.barometric_pressure.value];
  if (Math.abs(a - b) > alike) {
    out.push(
      `The air pressure in force is ${units.text(a, "pressure", 1)} here and ${units.text(b, "pressure", 1)} there (altitude or barometer): where the loggers wrote gauge pressures, the same reading is not the same pressure.`,
    );
  }
  if (here.verdict.refrigerant !== there.verdict.refrigerant) {
    out.push(`The refrigerant is ${here.verdict.refrigerant} here and ${there.verdict.refrigerant} there: saturation temperatures, superheats and subcooling are of another kind.`);
  }
  if (here.sheet !== there.sheet) {
    const what =
      here.sheet === null ? "This recording has no system sheet, the other one has."
      : there.sheet === null ? "The other recording has no system sheet, this one has."
      : "The two recordings have different system sheets.";
    out.push(`${what} ${oneSheet && here.sheet !== null ? "This one's is used for both." : "Is it the same machine?"}`);
  }
  return out;
}
