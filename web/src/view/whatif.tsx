import { useMemo, useState } from "preact/hooks";
import type { SheetJson, TwinAnswer } from "../api/types.ts";
import { Cell, useCell } from "../base/cell.ts";
import { askOf, type Machine, type Wish } from "../base/twinask.ts";
import { fixed, fromShown, toShown, unitOf } from "../base/units.ts";
import { useAnswer } from "../part/answer.ts";
import { Choice, Fold, List, Title, Trouble, Working } from "../part/bits.tsx";
import { MachineChoice, useMachine } from "../part/machine.tsx";
import { shownIn, useUnits, type Shown } from "../part/session.ts";
import { placeWords } from "../base/names.ts";
import { WhereItIs } from "../part/whereitis.tsx";
import { WhatIfMap } from "./whatifmap.tsx";

const wishes = new Map<string, Cell<Wish>>();

function firstWish(sheet: SheetJson): Wish {
  return {
    mode: "heating",
    outdoor: 273.15 + 2,
    room: 273.15 + 21,
    charge: null,
    calls: sheet.indoor.map(() => true),
    module: {},
    unitAt: -1,
    unit: {},
    air: 0,
  };
}

function Slider({ label, value, low, high, step, text, onInput }: {
  label: string;
  value: number;
  low: number;
  high: number;
  step: number;
  text: string;
  onInput: (v: number) => void;
}) {
  return (
    <label class="slider">
      <span>
        {label} <strong>{text}</strong>
      </span>
      <input type="range" min={low} max={high} step={step} value={value} aria-valuetext={text}
        onInput={(e) => onInput(Number(e.currentTarget.value))} />
    </label>
  );
}

/** A slider in the display unit for a value in SI. */
function QuantitySlider({ label, si, low, high, step, dimension, units, onSi }: {
  label: string;
  si: number;
  low: number;
  high: number;
  step: number;
  dimension: string;
  units: Shown;
  onSi: (si: number) => void;
}) {
  const unit = unitOf(dimension, units.system);
  const round = (v: number) => Math.round(v / step) * step;
  return (
    <Slider label={label} value={round(toShown(si, unit))} low={round(toShown(low, unit))} high={round(toShown(high, unit))}
      step={step} text={units.text(si, dimension, dimension === "mass" ? -2 : 0)} onInput={(v) => onSi(fromShown(v, unit))} />
  );
}

const moduleFaults: readonly (readonly [string, string, number])[] = [
  ["coil_blocked", "coil blocked: airflow lost", 0.95],
  ["fan_lost", "fan: speed lost", 1],
  ["reversing_valve_leak", "reversing valve leaks: share of the flow", 0.3],
];
const unitFaults: readonly (readonly [string, string, number])[] = [
  ["filter_blocked", "filter blocked: airflow lost", 0.95],
  ["valve_leak", "valve leaks when shut: opening left", 0.3],
];

function Faults({ wish, sheet, set }: { wish: Wish; sheet: SheetJson; set: (w: Partial<Wish>) => void }) {
  const stuck = wish.unit["valve_stuck"];
  const percent = (v: number | undefined) => `${fixed(100 * (v ?? 0), 0)} %`;
  return (
    <div class="sliders">
      {moduleFaults.map(([key, label, most]) => (
        <Slider key={key} label={`${placeWords(sheet.outdoor[0]?.id ?? "outdoor.1")}, ${label}`} value={wish.module[key] ?? 0} low={0} high={most} step={0.01}
          text={percent(wish.module[key])} onInput={(v) => set({ module: { ...wish.module, [key]: v } })} />
      ))}
      <Slider label="Nitrogen or air in the high side" value={wish.air} low={0} high={6} step={0.1} text={`${fixed(wish.air, 1)} mol`}
        onInput={(v) => set({ air: v })} />
      <label>
        One indoor unit with a fault{" "}
        <select value={String(wish.unitAt)} onChange={(e) => set({ unitAt: Number(e.currentTarget.value), unit: {} })}>
          <option value="-1">none</option>
          {sheet.indoor.map((u, i) => (
            <option key={u.id} value={String(i)}>{u.name || placeWords(u.id)}</option>
          ))}
        </select>
      </label>
      {wish.unitAt < 0 ? null : (
        <>
          {unitFaults.map(([key, label, most]) => (
            <Slider key={key} label={label} value={wish.unit[key] ?? 0} low={0} high={most} step={0.01} text={percent(wish.unit[key])}
              onInput={(v) => set({ unit: { ...wish.unit, [key]: v } })} />
          ))}
          <label class="tick">
            <input type="checkbox" checked={stuck !== undefined}
              onChange={(e) => {
                const unit = { ...wish.unit };
                if (e.currentTarget.checked) unit["valve_stuck"] = 0.1;
                else delete unit["valve_stuck"];
                set({ unit });
              }} />
            its valve is stuck
          </label>
          {stuck === undefined ? null : (
            <Slider label="stuck at an opening of" value={stuck} low={0.01} high={1} step={0.01} text={percent(stuck)}
              onInput={(v) => set({ unit: { ...wish.unit, valve_stuck: v } })} />
          )}
        </>
      )}
    </div>
  );
}

function Calls({ wish, sheet, set }: { wish: Wish; sheet: SheetJson; set: (w: Partial<Wish>) => void }) {
  const on = wish.calls.filter(Boolean).length;
  return (
    <Fold title={`Who calls: ${on} of ${wish.calls.length} units`}>
      <div class="row">
        <button type="button" onClick={() => set({ calls: wish.calls.map(() => true) })}>All</button>
        <button type="button" onClick={() => set({ calls: wish.calls.map((_, i) => i % 2 === 0) })}>Every second</button>
        <button type="button" onClick={() => set({ calls: wish.calls.map((_, i) => i === 0) })}>Only one</button>
      </div>
      <div class="ticks">
        {sheet.indoor.map((u, i) => (
          <label key={u.id} class="tick">
            <input type="checkbox" checked={wish.calls[i] ?? false}
              onChange={() => set({ calls: wish.calls.map((c, k) => (k === i ? !c : c)) })} />
            {u.name || placeWords(u.id)}
          </label>
        ))}
      </div>
    </Fold>
  );
}

function number(of: Record<string, unknown> | undefined, key: string): number | null {
  const v = of?.[key];
  return typeof v === "number" ? v : null;
}

/** Electrical power is in kW for everybody; heat is not. */
const electric = "electric power";

type Row = readonly [string, string, readonly (number | null)[]];

/** Rows of what the machine does: one number for the whole, or one for each module. */
function rowsOf(a: TwinAnswer): Row[] {
  const modules = (label: string, dimension: string, value: (i: number) => number | null): Row => [
    label,
    dimension,
    a.readings.modules.map((_, i) => value(i)),
  ];
  return [
    ["Heat to the rooms", "power", [a.insight.heat_to_rooms]],
    ["Electrical power", electric, [a.insight.power]],
    ["Condensing", "temperature", [a.insight.condensing]],
    ["Evaporating", "temperature", [a.insight.evaporating]],
    modules("Discharge temperature", "temperature", (i) => number(a.readings.modules[i], "discharge_temperature")),
    modules("Compressor frequency", "frequency", (i) => number(a.readings.modules[i], "compressor_frequency")),
    modules("Suction superheat", "temperature_difference", (i) => number(a.insight.modules[i], "suction_superheat")),
    modules("Accumulator level", "ratio", (i) => a.inventory.modules[i]?.accumulator_level ?? null),
  ];
}

function Numbers({ answer, before }: { answer: TwinAnswer; before: TwinAnswer | null }) {
  const units = useUnits();
  const then = before ? rowsOf(before) : [];
  const one = (v: number | null, dimension: string) => (dimension === electric ? shownIn("si").text(v, "power") : units.text(v, dimension));
  const text = (row: Row | undefined) => row?.[2].map((v) => one(v, row[1])).join(" · ") ?? "";
  const several = answer.readings.modules.length > 1;
  return (
    <table class="numbers">
      <caption class="hidden">What the machine does</caption>
      <thead>
        <tr>
          <th scope="col">{several ? "Of each module in turn, where two stand" : "What the machine does"}</th>
          <th scope="col" class="n">now</th>
          {before ? <th scope="col" class="n">kept</th> : null}
        </tr>
      </thead>
      <tbody>
        {rowsOf(answer).map((row, i) => (
          <tr key={row[0]}>
            <th scope="row">{row[0]}</th>
            <td class="n"><strong>{text(row)}</strong></td>
            {before ? <td class="n">{text(then[i])}</td> : null}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function limitText(l: TwinAnswer["limits"][number], units: Shown): string {
  const dimension = l.unit === "K" ? "temperature" : l.unit === "Pa" ? "pressure" : l.unit === "Hz" ? "frequency" : "ratio";
  return `${l.what}${l.place ? `, ${placeWords(l.place)}` : ""}: ${units.text(l.value, dimension)} at a limit of ${units.text(l.limit, dimension)}`;
}

function Bench({ machine, sheet, wishCell }: { machine: Machine; sheet: SheetJson; wishCell: Cell<Wish> }) {
  const units = useUnits();
  const wish = useCell(wishCell);
  const set = (change: Partial<Wish>) => wishCell.set({ ...wishCell.get(), ...change });
  const { answer, error, busy } = useAnswer<TwinAnswer>("/api/twin/steady", JSON.stringify(askOf(machine, wish, sheet.outdoor.length)), 120);
  const [before, setBefore] = useState<TwinAnswer | null>(null);
  const full = sheet.charge.total_kg ?? answer?.charge_kg ?? 20;
  const charge = wish.charge ?? full;
  return (
    <>
      <div class="beside even">
        <section aria-label="What is asked" class="panel">
          <Choice name="Mode" of={[["heating", "Heating"], ["cooling", "Cooling"]] as const} value={wish.mode}
            onPick={(mode) => set({ mode, outdoor: mode === "heating" ? 275.15 : 305.15, room: mode === "heating" ? 294.15 : 298.15 })} />
          <div class="sliders">
            <QuantitySlider label="Outdoor temperature" si={wish.outdoor} low={248.15} high={318.15} step={1} dimension="temperature" units={units} onSi={(outdoor) => set({ outdoor })} />
            <QuantitySlider label="Rooms" si={wish.room} low={283.15} high={305.15} step={1} dimension="temperature" units={units} onSi={(room) => set({ room })} />
            <QuantitySlider label={wish.charge === null ? "Charge, as on the sheet" : "Charge"} si={charge} low={0.5 * full} high={1.5 * full} step={units.system === "si" ? 0.1 : 0.2} dimension="mass" units={units}
              onSi={(kg) => set({ charge: Math.min(1.5 * full, Math.max(0.5 * full, kg)) })} />
          </div>
          <Calls wish={wish} sheet={sheet} set={set} />
          <Fold title="Faults"><Faults wish={wish} sheet={sheet} set={set} /></Fold>
          <div class="row">
            <button type="button" onClick={() => answer && setBefore(answer)} disabled={!answer}>Keep these numbers beside</button>
            <button type="button" class="quiet" onClick={() => { wishCell.set(firstWish(sheet)); setBefore(null); }}>As at first</button>
          </div>
        </section>
        <section aria-label="What the machine does" aria-live="polite" class={busy ? "panel panel-busy" : "panel"}>
          {error ? <Trouble error={error} /> : null}
          {answer && !error ? (
            <>
              {answer.limits.length > 0 ? (
                <div class="reached">
                  <p><strong>Reaches limits of its own:</strong></p>
                  <List of={answer.limits.map((l) => limitText(l, units))} />
                </div>
              ) : null}
              <p class="lead">{answer.why || "Runs within its own limits."}</p>
              <Numbers answer={answer} before={before} />
            </>
          ) : error ? null : <Working progress={{ fraction: null, what: "Asking the twin" }} />}
        </section>
      </div>
      {answer && !error ? (
        <>
          <h2>Where the refrigerant is</h2>
          <WhereItIs inventory={answer.inventory} />
        </>
      ) : null}
      <WhatIfMap machine={machine} wish={wish} sheet={sheet} full={full}
        onPick={(outdoor, kg) => set({ outdoor, charge: kg })} />
      {answer ? (
        <Fold title={`What the twin takes as read (${answer.assumptions.length})`}>
          <List of={answer.assumptions} />
        </Fold>
      ) : null}
    </>
  );
}

export function WhatIfView() {
  const { machine, sheet, picked } = useMachine();
  const wishCell = useMemo(() => {
    if (!sheet.data) return null;
    const known = wishes.get(picked);
    if (known && known.get().calls.length === sheet.data.sheet.indoor.length) return known;
    const made = new Cell(firstWish(sheet.data.sheet));
    wishes.set(picked, made);
    return made;
  }, [picked, sheet.data]);
  return (
    <article>
      <Title>What if</Title>
      <div class="row">
        <MachineChoice picked={picked} />
        <span class="soft">A calculation from physics and the sheet, not a measurement of a machine.</span>
      </div>
      {sheet.error ? <Trouble error={sheet.error} /> : null}
      {machine && sheet.data && wishCell ? (
        <Bench key={picked} machine={machine} sheet={sheet.data.sheet} wishCell={wishCell} />
      ) : sheet.error ? null : <Working />}
    </article>
  );
}
