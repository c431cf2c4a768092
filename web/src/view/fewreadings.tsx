import { useRef, useState } from "preact/hooks";
import type { Check } from "../api/types.ts";
import { Cell, useCell } from "../base/cell.ts";
import { linkTo } from "../base/route.ts";
import { fieldKinds, withUnit } from "../base/fields.ts";
import { stillWorking, useAnswer } from "../part/answer.ts";
import { Choice, List, Mark, Title, Trouble, saveText } from "../part/bits.tsx";
import { keepSheet, Paper } from "../part/paper.tsx";
import { about, useUnits } from "../part/session.ts";
import { placeWords } from "../base/names.ts";

const pressures = ["kPa(g)", "MPa(g)", "bar(g)", "psi(g)"];
const degrees = ["degC", "degF"];

/** What a person reads off gauges and a thermometer, in the order of a walk around the machine. */
const asked: readonly (readonly [string, string, readonly string[]])[] = [
  ["site.outdoor_temperature", "Outdoor air", degrees],
  ["outdoor.1.discharge_pressure", "Discharge pressure", pressures],
  ["outdoor.1.suction_pressure", "Suction pressure", pressures],
  ["outdoor.1.discharge_temperature", "Discharge temperature", degrees],
  ["outdoor.1.suction_temperature", "Suction temperature", degrees],
  ["outdoor.1.shell_temperature", "Shell temperature", degrees],
  ["outdoor.1.liquid_temperature", "Liquid temperature", degrees],
  ["outdoor.1.coil_temperature", "Outdoor coil temperature", degrees],
  ["indoor.1.gas_pipe_temperature", "Indoor unit 1, gas-side pipe", degrees],
  ["indoor.1.liquid_pipe_temperature", "Indoor unit 1, liquid-side pipe", degrees],
  ["indoor.1.controlled_temperature", "Indoor unit 1, room", degrees],
  ["indoor.1.set_point", "Indoor unit 1, set point", degrees],
];

interface Moment {
  mode: "heating" | "cooling";
  refrigerant: string;
  altitude: string;
  readings: Record<string, { text: string; unit: string }>;
}
const moment = new Cell<Moment>({ mode: "heating", refrigerant: "R-410A", altitude: "", readings: {} });

interface Answer {
  readings: { verdict_of_the_moment: Check["verdict"]; meaning: string; checks: Check[] };
  paper: string;
}

function bodyOf(m: Moment, units: string): string {
  const readings: Record<string, string> = {};
  for (const [name, entry] of Object.entries(m.readings)) {
    const text = withUnit(entry);
    if (text !== "") readings[name] = text;
  }
  if (Object.keys(readings).length === 0) return "";
  return JSON.stringify({ units, mode: m.mode, refrigerant: m.refrigerant, altitude: m.altitude.trim(), readings });
}

function ReadingRow({ name, label, choices }: { name: string; label: string; choices: readonly string[] }) {
  const m = useCell(moment);
  const units = useUnits();
  const entry = m.readings[name] ?? { text: "", unit: "" };
  const unit = entry.unit || fieldKinds(choices, units.system);
  const set = (change: Partial<typeof entry>) =>
    moment.set({ ...m, readings: { ...m.readings, [name]: { text: entry.text, unit, ...change } } });
  return (
    <div class="field">
      <span class="field-name">{label}</span>
      <span class="quantity">
        <input aria-label={label} value={entry.text} onInput={(e) => set({ text: e.currentTarget.value })} />
        <select aria-label={`Unit of ${label}`} value={unit} onChange={(e) => set({ unit: e.currentTarget.value })}>
          {choices.map((u) => <option key={u}>{u}</option>)}
        </select>
      </span>
    </div>
  );
}

/** The checks of a recording at one moment, from what was read by hand. */
export function FewReadings() {
  const m = useCell(moment);
  const units = useUnits();
  const { answer, error, slow } = useAnswer<Answer>("/api/readings", bodyOf(m, units.system));
  const print = useRef<() => void>();
  const [kept, setKept] = useState("");
  const title = "A verdict from a few readings";
  return (
    <article>
      <Title>{title}</Title>
      <p>
        <a class="button" href={linkTo("fieldwork")}>All procedures</a>
      </p>
      <div class="beside field-work">
        <section class="panel" aria-label="What was read">
          <Choice name="Mode" of={[["heating", "Heating"], ["cooling", "Cooling"]] as const} value={m.mode} onPick={(mode) => moment.set({ ...m, mode })} />
          <div class="fields">
            <label>
              Refrigerant
              <select value={m.refrigerant} onChange={(e) => moment.set({ ...m, refrigerant: e.currentTarget.value })}>
                {(about.get()?.refrigerants ?? ["R-410A"]).map((r) => <option key={r}>{r}</option>)}
              </select>
            </label>
            <label>
              Altitude
              <input value={m.altitude} placeholder="1600m, 5280ft; empty: sea level" onInput={(e) => moment.set({ ...m, altitude: e.currentTarget.value })} />
            </label>
          </div>
          {asked.map(([name, label, choices]) => <ReadingRow key={name} name={name} label={label} choices={choices} />)}
          <button type="button" class="quiet" onClick={() => moment.set({ ...m, readings: {} })}>Clear the form</button>
        </section>
        <section aria-label="Result" aria-live="polite">
          {slow ? <p class="soft">{stillWorking}</p> : null}
          {error ? <Trouble error={error} /> : null}
          {!answer && !error && !slow ? <p class="soft">The result appears here as you type.</p> : null}
          {answer && !error ? (
            <>
              <p class="field-verdict"><Mark of={answer.readings.verdict_of_the_moment} /> {answer.readings.meaning}</p>
              <List of={answer.readings.checks.filter((c) => c.verdict !== "ok" && c.verdict !== "unproven").map((c) => `${placeWords(c.place)}: ${c.because}`)} />
              <div class="row">
                <button type="button" class="main" onClick={() => print.current?.()}>Print the sheet</button>
                <button type="button" onClick={() => saveText("readings.html", "text/html", answer.paper)}>Save the sheet</button>
                <button type="button" onClick={() => { keepSheet({ key: "readings", title, html: answer.paper }); setKept(answer.paper); }}>
                  {kept === answer.paper ? "Is in the report" : "Put it into the report"}
                </button>
              </div>
              <Paper html={answer.paper} title={title} onFrame={(p) => (print.current = p)} />
            </>
          ) : null}
        </section>
      </div>
    </article>
  );
}
