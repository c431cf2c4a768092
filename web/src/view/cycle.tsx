import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { getJson, useJson } from "../api/client.ts";
import type { CycleFrame, CyclePoint, Dome, ModuleCycle } from "../api/types.ts";
import { useCalmCell } from "../base/cell.ts";
import { address, note } from "../base/route.ts";
import { useCell } from "../base/cell.ts";
import { instantText } from "../base/time.ts";
import { Choice, List, Title, Trouble, Working } from "../part/bits.tsx";
import { cursor, span, useRecording, useUnits } from "../part/session.ts";
import { PhChart } from "../plot/phchart.tsx";

const mostFrames = 600;

function Figures({ cycle }: { cycle: ModuleCycle }) {
  const units = useUnits();
  const rows: readonly (readonly [string, number | null, string])[] = [
    ["Condensing (dew)", cycle.condensing, "temperature"],
    ["Evaporating (dew)", cycle.evaporating, "temperature"],
    ["Discharge superheat", cycle.discharge_superheat, "temperature_difference"],
    ["Suction superheat", cycle.suction_superheat, "temperature_difference"],
    ["Subcooling", cycle.subcooling, "temperature_difference"],
    ["Discharge pressure", cycle.discharge_pressure, "pressure"],
    ["Suction pressure", cycle.suction_pressure, "pressure"],
  ];
  return (
    <dl class="figures">
      {rows.map(([label, value, dimension]) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{value === null ? "not shown by this log" : units.text(value, dimension)}</dd>
        </div>
      ))}
    </dl>
  );
}

function Points({ points }: { points: readonly CyclePoint[] }) {
  const units = useUnits();
  return (
    <div tabIndex={0} class="wide-table">
      <table>
        <thead>
          <tr>
            <th scope="col">Point</th>
            <th scope="col" class="n">Pressure [{units.symbol("pressure")}]</th>
            <th scope="col" class="n">Temperature [{units.symbol("temperature")}]</th>
            <th scope="col" class="n">Enthalpy [{units.symbol("specific_energy") || "kJ/kg"}]</th>
            <th scope="col">State</th>
          </tr>
        </thead>
        <tbody>
          {points.map((p) => (
            <tr key={p.key}>
              <th scope="row">
                {p.label}
                {p.assumed ? " (taken, not measured)" : ""}
              </th>
              <td class="n">{units.number(p.p, "pressure")}</td>
              <td class="n">{units.number(p.T, "temperature")}</td>
              <td class="n">{units.number(p.h, "specific_energy")}</td>
              <td>{p.state}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** The nearest of frames that are sorted by time. */
function frameAt(frames: readonly CycleFrame[], ms: number): CycleFrame | undefined {
  let best: CycleFrame | undefined;
  for (const f of frames) {
    if (!best || Math.abs(f.at_ms - ms) < Math.abs(best.at_ms - ms)) best = f;
    else break;
  }
  return best;
}

/** Cycles at the cursor: at once from the nearest frame of what plays, exact a moment after it rests. */
function useCycle(recording: string, playing: boolean): {
  refrigerant?: string;
  frame?: CycleFrame;
  error?: unknown;
} {
  const at = useCalmCell(cursor, playing ? 16 : 30);
  const shown = useCalmCell(span, 400);
  const [from, to] = [Math.round(shown?.[0] ?? 0), Math.round(shown?.[1] ?? 0)];
  const frames = useJson<{ refrigerant: string; frames: CycleFrame[] }>(
    shown ? `/api/recordings/${recording}/cycle?from=${from}&to=${to}&points=${mostFrames}` : null,
  );
  const [exact, setExact] = useState<CycleFrame & { refrigerant: string }>();
  useEffect(() => {
    if (at === null || playing) return;
    const stop = new AbortController();
    const timer = setTimeout(() => {
      getJson<CycleFrame & { refrigerant: string }>(
        `/api/recordings/${recording}/cycle?at=${Math.round(at)}`,
        stop.signal,
      ).then(setExact, () => undefined);
    }, 90);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [at, playing, recording]);
  const near = at === null ? undefined : frameAt(frames.data?.frames ?? [], at);
  const step = (to - from) / mostFrames;
  const fresh = exact && at !== null && !playing && Math.abs(exact.at_ms - at) <= Math.max(step, 60_000);
  const frame = fresh ? exact : (near ?? exact);
  const refrigerant = exact?.refrigerant ?? frames.data?.refrigerant;
  return {
    ...(refrigerant ? { refrigerant } : {}),
    ...(frame ? { frame } : {}),
    ...(frames.error && !exact ? { error: frames.error } : {}),
  };
}

/** Moves the cursor through the stretch that the time line shows, in half a minute. */
function usePlaying(): [boolean, (on: boolean) => void] {
  const { channels } = useRecording();
  const [playing, setPlaying] = useState(false);
  useEffect(() => {
    if (!playing) return;
    let live = true;
    let before = performance.now();
    const step = (now: number) => {
      if (!live) return;
      const [from, to] = span.get() ?? [channels.start_ms, channels.end_ms];
      const by = ((now - before) / 30_000) * (to - from);
      before = now;
      const at = cursor.get() ?? from;
      const next = (at < from || at > to ? from : at) + by;
      if (next >= to) {
        cursor.set(to);
        setPlaying(false);
        return;
      }
      cursor.set(next);
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
    return () => {
      live = false;
    };
  }, [playing, channels]);
  return [playing, setPlaying];
}

export function CycleView() {
  const { info, channels } = useRecording();
  const ask = useCell(address).ask;
  const [playing, setPlaying] = usePlaying();
  const toggle = useRef(() => undefined as void);
  toggle.current = () => {
    const [from, to] = span.get() ?? [channels.start_ms, channels.end_ms];
    if (!playing && (cursor.get() ?? from) >= to - 1) cursor.set(from);
    setPlaying(!playing);
  };
  useEffect(() => {
    const press = (e: KeyboardEvent) => {
      if (e.key !== "p" || e.ctrlKey || e.metaKey || e.altKey) return;
      if ((e.target as HTMLElement).closest?.("input, select, textarea")) return;
      toggle.current();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  }, []);
  const { refrigerant, frame, error } = useCycle(info.id, playing);
  const dome = useJson<Dome>(refrigerant ? `/api/dome?refrigerant=${encodeURIComponent(refrigerant)}` : null);
  const modules = frame?.modules ?? [];
  const picked = modules.find((m) => m.place === ask["m"]) ?? modules[0];
  const names = useMemo(() => modules.map((m) => [m.place, m.label] as const), [modules.map((m) => m.place).join()]);
  if (error) return <Trouble error={error as { code: string; message: string }} />;
  if (dome.error) return <Trouble error={dome.error} />;
  if (!frame || !dome.data || !picked) {
    return frame && modules.length === 0 ? (
      <article>
        <Title>Cycle</Title>
        <p>This recording has no outdoor module with pressures, so there is no cycle to draw.</p>
      </article>
    ) : (
      <Working progress={{ fraction: null, what: "Working out the cycle" }} />
    );
  }
  return (
    <article>
      <Title>Cycle of {picked.label}</Title>
      <div class="row">
        {names.length > 1 ? (
          <Choice name="Outdoor module" of={names} value={picked.place} onPick={(m) => note({ m })} />
        ) : null}
        <button type="button" class="main" aria-pressed={playing} onClick={() => toggle.current()}>
          {playing ? "Stop" : "Play"}
        </button>
        <span class="soft">
          {picked.phase} at {instantText(frame.at_ms, channels.clock)}, {dome.data.refrigerant}
        </span>
      </div>
      <div class="beside">
        <PhChart dome={dome.data} cycle={picked} others={modules.filter((m) => m !== picked)} />
        <div>
          <Figures cycle={picked} />
          <List of={picked.notes} />
        </div>
      </div>
      <h2>The points</h2>
      {picked.points.length === 0 ? <p class="soft">Nothing can be drawn at this moment: the machine does not run, or its pressures are not known.</p> : <Points points={picked.points} />}
    </article>
  );
}
