import { useEffect, useRef, useState } from "preact/hooks";
import { cancelJob, failureOf, followJob, sendJson } from "../api/client.ts";
import type { Failure, MapCell, Progress, SheetJson, TwinMap } from "../api/types.ts";
import { askOf, steps, type Machine, type Wish } from "../base/twinask.ts";
import { List, Trouble, Working } from "../part/bits.tsx";
import { useUnits } from "../part/session.ts";

type Fate = "runs" | "trips" | "floods" | "both" | "none";

function fateOf(cell: MapCell): Fate {
  // A machine that stops by its own limit has no steady state either; the twin's sentence says which it was.
  if (!cell.solved) return cell.trips || cell.why.includes("the machine trips") ? "trips" : "none";
  if (cell.trips && cell.floods) return "both";
  return cell.trips ? "trips" : cell.floods ? "floods" : "runs";
}

/** A word and a letter for each fate: the map reads without colour. */
const fates: Record<Fate, readonly [string, string]> = {
  runs: ["", "runs within its limits"],
  trips: ["T", "a limit of its own stops it"],
  floods: ["F", "liquid leaves the accumulator"],
  both: ["TF", "trips and floods"],
  none: ["?", "no steady state was found"],
};

function Grid({ map, wish, full, onPick }: { map: TwinMap; wish: Wish; full: number; onPick: (outdoor: number, kg: number) => void }) {
  const units = useUnits();
  const [told, setTold] = useState("");
  const nearest = (list: number[], v: number) => list.reduce((best, x, i) => (Math.abs(x - v) < Math.abs((list[best] ?? x) - v) ? i : best), 0);
  const here = [nearest(map.outdoors, wish.outdoor), nearest(map.charges, wish.charge ?? full)] as const;
  const say = (i: number, k: number) => {
    const cell = map.cells[i]?.[k];
    if (!cell) return "";
    const at = `${units.text(map.outdoors[i], "temperature", -1)}, ${units.text(map.charges[k], "mass", -2)}`;
    return `${at}: ${cell.why || fates[fateOf(cell)][1]}`;
  };
  return (
    <>
      <div tabIndex={0} class="wide-table">
        <table class="fate-map">
          <caption class="hidden">What happens at each outdoor temperature and charge</caption>
          <thead>
            <tr>
              <th scope="col">Outdoor</th>
              {map.charges.map((kg) => (
                <th key={kg} scope="col" class="n">{units.number(kg, "mass", -2)}</th>
              ))}
            </tr>
          </thead>
          <tbody>
            {map.outdoors.map((t, i) => (
              <tr key={t}>
                <th scope="row" class="n">{units.text(t, "temperature", -1)}</th>
                {map.charges.map((kg, k) => {
                  const cell = map.cells[i]?.[k];
                  const fate = cell ? fateOf(cell) : "none";
                  return (
                    <td key={kg}>
                      <button type="button" class={`fate fate-${fate}`} aria-label={say(i, k)} aria-pressed={here[0] === i && here[1] === k}
                        onMouseEnter={() => setTold(say(i, k))} onFocus={() => setTold(say(i, k))} onClick={() => onPick(t, kg)}>
                        {fates[fate][0]}
                      </button>
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="told" aria-hidden="true">{told || "A cell puts its outdoor temperature and charge on the sliders."}</p>
      <ul class="fate-key">
        {(Object.keys(fates) as Fate[]).map((f) => (
          <li key={f}><span class={`fate fate-${f}`} aria-hidden="true">{fates[f][0]}</span> {fates[f][1]}</li>
        ))}
      </ul>
    </>
  );
}

/** Outdoor temperature over charge: where this machine, with what the sliders say otherwise, trips or floods. */
export function WhatIfMap({ machine, wish, sheet, full, onPick }: {
  machine: Machine;
  wish: Wish;
  sheet: SheetJson;
  full: number;
  onPick: (outdoor: number, kg: number) => void;
}) {
  const units = useUnits();
  const [map, setMap] = useState<TwinMap & { of: string }>();
  const [progress, setProgress] = useState<Progress>();
  const [error, setError] = useState<Failure>();
  const job = useRef<string>();
  useEffect(() => () => void (job.current && cancelJob(job.current).catch(() => undefined)), []);
  const key = JSON.stringify({ ...wish, outdoor: 0, charge: 0 });
  const draw = async () => {
    setError(undefined);
    setProgress({ fraction: 0, what: "Asking the twin for each cell" });
    const { outdoor: _o, charge: _c, ...rest } = askOf(machine, wish, sheet.outdoor.length);
    const [low, high] = wish.mode === "heating" ? [253.15, 288.15] : [288.15, 318.15];
    try {
      const asked = { ...rest, outdoors: steps(low, high, 8).reverse(), charges: steps(0.6 * full, 1.4 * full, 9) };
      const { job: id } = await sendJson<{ job: string }>("POST", "/api/twin/map", asked);
      job.current = id;
      const found = await followJob<TwinMap>(id, setProgress);
      setMap({ ...found, of: key });
    } catch (e) {
      if (failureOf(e).code !== "cancelled") setError(failureOf(e));
    }
    job.current = undefined;
    setProgress(undefined);
  };
  return (
    <section>
      <h2>Where it trips, where it floods</h2>
      <p class="soft">
        Outdoor temperature down the side, charge across [{units.symbol("mass")}], 60 to 140 % of the sheet's. Everything else as on
        the sliders.
      </p>
      {error ? <Trouble error={error} /> : null}
      {progress ? <Working progress={progress} onCancel={() => job.current && void cancelJob(job.current)} /> : (
        <button type="button" class={map ? "" : "main"} onClick={() => void draw()}>
          {map ? (map.of === key ? "Draw it again" : "The sliders have changed: draw it again") : "Draw the map"}
        </button>
      )}
      {map ? <Grid map={map} wish={wish} full={full} onPick={onPick} /> : null}
      {map ? <List of={map.assumptions.slice(0, 6)} /> : null}
    </section>
  );
}
