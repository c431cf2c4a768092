import { useEffect, useMemo, useState } from "preact/hooks";
import { ask, failureOf, forget, sendJson } from "../api/client.ts";
import { bucketEmpty, parseSeries, seriesPath } from "../api/series.ts";
import type { Failure, SheetAnswer, TwinAnswer } from "../api/types.ts";
import { judgeAnew } from "../base/anew.ts";
import { useCalmCell } from "../base/cell.ts";
import { instantText } from "../base/time.ts";
import type { Machine } from "../base/twinask.ts";
import { fixed } from "../base/units.ts";
import { Fold, List, Title, Trouble, Working } from "../part/bits.tsx";
import { MachineChoice, useMachine } from "../part/machine.tsx";
import { GiveSheet } from "../part/givesheet.tsx";
import { cursor, useRecording, useUnits } from "../part/session.ts";
import { WhereItIs } from "../part/whereitis.tsx";
import { phaseAt } from "../plot/phases.ts";
import { Drawing, Pipes, type Values } from "../plot/drawing.tsx";
import { placeWords } from "../base/names.ts";

const wanted = new Set([
  "discharge_pressure", "suction_pressure", "discharge_temperature", "suction_temperature", "shell_temperature",
  "compressor_frequency", "coil_temperature", "saturated_condensing_temperature", "saturated_evaporating_temperature",
  "discharge_superheat", "suction_superheat", "subcooling", "gas_pipe_temperature", "liquid_pipe_temperature",
  "controlled_temperature", "set_point", "call", "valve_opening", "outdoor_temperature",
]);

/** The last reading of each channel at the cursor, SI. */
function useValues(): Values {
  const { info, channels } = useRecording();
  const at = useCalmCell(cursor, 100);
  const [values, setValues] = useState<Values>(new Map());
  const names = useMemo(() => channels.channels.filter((c) => wanted.has(c.quantity)).map((c) => c.name), [channels]);
  useEffect(() => {
    if (at === null) return;
    const stop = new AbortController();
    const longest = Math.max(60, ...channels.channels.map((c) => c.interval_s));
    const timer = setTimeout(async () => {
      const found = new Map<string, number>();
      try {
        for (let i = 0; i < names.length; i += 64) {
          const some = names.slice(i, i + 64);
          const path = seriesPath(info.id, some, Math.round(at - 3000 * longest), Math.round(at), 1);
          const block = parseSeries(await (await ask(path, { signal: stop.signal })).arrayBuffer());
          some.forEach((name, k) => {
            const b = block.channels[k];
            if (b && !((b.flags[0] ?? 1) & bucketEmpty)) found.set(name, b.last[0] ?? NaN);
          });
        }
        setValues(found);
      } catch {
        // The next move of the cursor asks again; the shell shows a server that is gone.
      }
    }, 60);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [at, names, info.id]);
  return values;
}

interface Predicted {
  answer?: TwinAnswer;
  /** Accumulator levels with a tenth less and a tenth more charge. */
  less?: TwinAnswer;
  more?: TwinAnswer;
  error?: Failure;
  asked: string;
}

/** The twin in the weather and with the calls of the cursor; only where the machine heats or cools. */
function usePredicted(machine: Machine | null, sheet: SheetAnswer | undefined, values: Values, mode: string | undefined): Predicted {
  const { channels } = useRecording();
  const [told, setTold] = useState<Predicted>({ asked: "" });
  const outdoor = [...values].find(([n]) => n.endsWith(".outdoor_temperature"))?.[1];
  const units = sheet?.sheet.indoor ?? [];
  const calls = units.map((u) => (values.get(`${u.id}.call`) ?? 1) > 0.5);
  const rooms = units.flatMap((u) => values.get(`${u.id}.controlled_temperature`) ?? []);
  const room = rooms.length > 0 ? rooms.reduce((a, b) => a + b, 0) / rooms.length : 294.15;
  const fits = units.length > 0 && units.every((u) => channels.channels.some((c) => c.place === u.id));
  const running = (mode === "heating" || mode === "cooling") && outdoor !== undefined && calls.some(Boolean) && fits;
  const key = machine && running
    ? JSON.stringify({ ...machine, mode, outdoor: Math.round(outdoor * 10) / 10, room: Math.round(room * 10) / 10, calls })
    : "";
  useEffect(() => {
    if (key === "") {
      setTold({ asked: "" });
      return;
    }
    const stop = new AbortController();
    const timer = setTimeout(async () => {
      const question = JSON.parse(key) as Record<string, unknown>;
      const twin = (charge?: number) =>
        sendJson<TwinAnswer>("POST", "/api/twin/steady", charge === undefined ? question : { ...question, charge }, stop.signal);
      try {
        const answer = await twin();
        setTold({ answer, asked: key });
        const less = await twin(0.9 * answer.charge_kg).catch(() => undefined);
        const more = await twin(1.1 * answer.charge_kg).catch(() => undefined);
        if (!stop.signal.aborted) setTold({ answer, ...(less ? { less } : {}), ...(more ? { more } : {}), asked: key });
      } catch (e) {
        if (!stop.signal.aborted) setTold({ error: failureOf(e), asked: key });
      }
    }, 250);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [key]);
  return key === "" ? { asked: "" } : told;
}

const compared: readonly (readonly [string, string, string])[] = [
  ["discharge_pressure", "discharge pressure", "pressure"],
  ["suction_pressure", "suction pressure", "pressure"],
  ["discharge_temperature", "discharge temperature", "temperature"],
  ["suction_temperature", "suction temperature", "temperature"],
  ["compressor_frequency", "compressor frequency", "frequency"],
  ["gas_pipe_temperature", "gas-side pipe", "temperature"],
  ["liquid_pipe_temperature", "liquid-side pipe", "temperature"],
];

function differenceOf(dimension: string): string {
  return dimension === "temperature" || dimension === "pressure" ? `${dimension}_difference` : dimension;
}

function Beside({ values, answer }: { values: Values; answer: TwinAnswer }) {
  const units = useUnits();
  const rows = [...answer.readings.modules, ...answer.readings.units].flatMap((p) =>
    compared.flatMap(([quantity, label, dimension]) => {
      const measured = values.get(`${p.place}.${quantity}`) ?? values.get(`${p.place}.compressor.1.${quantity}`);
      const predicted = p[quantity];
      if (measured === undefined || typeof predicted !== "number") return [];
      return [{ place: p.place, label, dimension, measured, predicted }];
    }),
  );
  if (rows.length === 0) return <p class="soft">The recording has no channel that the twin predicts.</p>;
  return (
    <div tabIndex={0} class="wide-table tall">
      <table>
        <thead>
          <tr>
            <th scope="col">Where</th>
            <th scope="col">What</th>
            <th scope="col" class="n">Measured</th>
            <th scope="col" class="n">Predicted</th>
            <th scope="col" class="n">Measured is</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((r) => {
            const d = r.measured - r.predicted;
            return (
              <tr key={`${r.place} ${r.label}`}>
                <th scope="row">{placeWords(r.place)}</th>
                <td>{r.label}</td>
                <td class="n">{units.text(r.measured, r.dimension)}</td>
                <td class="n">{units.text(r.predicted, r.dimension)}</td>
                <td class="n">{units.text(Math.abs(d), differenceOf(r.dimension))} {d < 0 ? "lower" : "higher"}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

function Levels({ told }: { told: Predicted }) {
  if (!told.answer) return null;
  return (
    <ul>
      {told.answer.inventory.modules.map((m, i) => {
        const level = (a: TwinAnswer | undefined) => a?.inventory.modules[i]?.accumulator_level;
        const ends = [level(told.less), level(told.more)].flatMap((v) => v ?? []);
        const percent = (v: number) => `${fixed(100 * v, 0)} %`;
        return (
          <li key={m.place}>
            Accumulator of {placeWords(m.place)}: {percent(m.accumulator_level)} of what fits below its outlet
            {ends.length === 2
              ? `; ${percent(Math.min(...ends))} to ${percent(Math.max(...ends))} if the charge were a tenth less or more than the sheet says`
              : ends.length === 1 ? "; with a tenth less or more charge the twin finds a steady state on one side only" : ""}
            .
          </li>
        );
      })}
    </ul>
  );
}

export function CircuitView() {
  const { info, channels, phases } = useRecording();
  const { machine, sheet, picked } = useMachine();
  const values = useValues();
  const at = useCalmCell(cursor, 100) ?? channels.start_ms;
  const phase = phaseAt(phases.system, at);
  const told = usePredicted(machine, sheet.data, values, phase?.phase);
  const own = picked === "own";
  const newSheet = () => {
    forget("/api/recordings");
    judgeAnew.set(judgeAnew.get() + 1);
  };
  return (
    <article>
      <Title>Circuit at {instantText(at, channels.clock)}</Title>
      <div class="row">
        <MachineChoice picked={picked} />
        {own ? null : <GiveSheet at={`/api/recordings/${info.id}`} has={false} onDone={newSheet} />}
      </div>
      {own ? null : <p class="warn">This recording has no system sheet of its own: what is drawn and predicted is of the machine chosen above, which may be another one.</p>}
      {sheet.error ? <Trouble error={sheet.error} /> : null}
      {sheet.data ? <Drawing sheet={sheet.data.sheet} values={values} {...(told.answer ? { answer: told.answer } : {})} /> : sheet.error ? null : <Working />}
      {sheet.data ? <Pipes sheet={sheet.data.sheet} /> : null}
      <h2>Where the refrigerant is, by the twin</h2>
      {told.error ? <Trouble error={told.error} /> : null}
      {told.answer ? (
        <>
          <p class="soft">
            Predicted, not measured: this machine as its sheet says, healthy, steady, in the weather and with the calls of this moment.
          </p>
          <Levels told={told} />
          <WhereItIs inventory={told.answer.inventory} />
          <h2>Measured beside predicted</h2>
          <Beside values={values} answer={told.answer} />
          <Fold title={`What the twin takes as read (${told.answer.assumptions.length})`}>
            <List of={told.answer.assumptions} />
          </Fold>
        </>
      ) : told.asked !== "" && !told.error ? (
        <Working progress={{ fraction: null, what: "Asking the twin" }} />
      ) : told.error ? null : (
        <p class="soft">
          {phase?.phase === "heating" || phase?.phase === "cooling"
            ? "The twin needs the outdoor temperature, a unit that calls, and a sheet whose units are those of the recording."
            : `At the cursor the machine is in ${phase?.phase ?? "an unknown phase"}; the twin predicts steady heating or cooling only. Move the cursor.`}
        </p>
      )}
    </article>
  );
}
