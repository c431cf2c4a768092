import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import "uplot/dist/uPlot.min.css";
import { useJson, failureOf } from "../api/client.ts";
import type { ChannelInfo, Channels, Check, RecordingInfo, VerdictJson } from "../api/types.ts";
import { useCalmCell, useCell } from "../base/cell.ts";
import { findingOf } from "../base/findings.ts";
import { placeWords } from "../base/names.ts";
import { address, note } from "../base/route.ts";
import { shadesOf } from "../base/shades.ts";
import { durationText, instantText, wallTime } from "../base/time.ts";
import { panned, zoomed } from "../base/stretch.ts";
import { Fold, Mark, Title, Trouble } from "../part/bits.tsx";
import { OtherRecording } from "../part/otherrecording.tsx";
import { moveCursor } from "../part/ribbon.tsx";
import { cursor, span, useRecording, useUnits, type Shown } from "../part/session.ts";
import { dashes, lineColour, theme } from "../part/theme.ts";
import { Unlike } from "../part/unlike.tsx";
import { laneGroups, lookAround, spanText, Stage, type LaneGroup } from "../plot/stage.ts";
import { ChannelPicker } from "./channelpicker.tsx";

const mostChannels = 24;
const hour = 3_600_000;

/** What is shown when the address names nothing: how the outdoor modules work. */
function firstChannels(channels: readonly ChannelInfo[]): string[] {
  const wanted = ["saturated_condensing_temperature", "saturated_evaporating_temperature", "discharge_superheat", "compressor_frequency"];
  const found = wanted.flatMap((q) => channels.filter((c) => c.quantity === q).slice(0, 2));
  const some = found.length > 0 ? found : channels.filter((c) => c.dimension !== "state").slice(0, 4);
  return some.map((c) => c.name);
}

function Sample({ style }: { style: number }) {
  const dash = dashes[style % dashes.length] ?? [];
  return (
    <svg class="sample" width="34" height="10" aria-hidden="true">
      <line x1="1" y1="5" x2="33" y2="5" stroke={lineColour(style)} stroke-width="3" stroke-dasharray={dash.join(" ")} />
    </svg>
  );
}

function valueText(v: { low: number; high: number; exact: boolean } | null, c: ChannelInfo, units: Shown): string {
  if (!v) return "–";
  if (c.words) return c.words[Math.round(v.high)] ?? "–";
  return v.exact || v.low === v.high
    ? units.text(v.low, c.dimension)
    : `${units.number(v.low, c.dimension)} … ${units.text(v.high, c.dimension)}`;
}

function Legend({ groups, stage, second, turn, onRemove }: {
  groups: readonly LaneGroup[];
  stage: Stage | null;
  second: string | undefined;
  turn: number;
  onRemove: (name: string) => void;
}) {
  const units = useUnits();
  const at = useCalmCell(cursor, 60);
  void turn;
  return (
    <div tabIndex={0} class="wide-table">
      <table class="legend">
        <caption class="hidden">Values at the cursor</caption>
        <thead>
          <tr>
            <th scope="col">Line</th>
            <th scope="col">Where</th>
            <th scope="col">What</th>
            <th scope="col" class="n">At the cursor</th>
            {second ? <th scope="col" class="n">{second}</th> : null}
            <th scope="col"><span class="hidden">Take away</span></th>
          </tr>
        </thead>
        <tbody>
          {groups.flatMap((g) =>
            g.channels.map((c, k) => (
              <tr key={c.name}>
                <td><Sample style={g.styles[k] ?? 0} /></td>
                <td>{c.place_label}</td>
                <th scope="row" title={c.origin}>{c.label}{c.derived ? " (computed)" : ""}</th>
                <td class="n" data-channel={c.name}>{valueText(at === null ? null : (stage?.valueAt(c.name, at, false) ?? null), c, units)}</td>
                {second ? <td class="n">{valueText(at === null ? null : (stage?.valueAt(c.name, at, true) ?? null), c, units)}</td> : null}
                <td>
                  <button type="button" class="quiet small" onClick={() => onRemove(c.name)}>
                    Take away<span class="hidden"> {c.place_label} {c.label}</span>
                  </button>
                </td>
              </tr>
            )),
          )}
        </tbody>
      </table>
    </div>
  );
}

/** What the table's names say only where a mouse rests on them. */
function Origins({ groups }: { groups: readonly LaneGroup[] }) {
  const shown = groups.flatMap((g) => g.channels);
  if (shown.length === 0) return null;
  return (
    <Fold title={`Where these lines come from (${shown.length})`}>
      <ul class="origins">
        {shown.map((c) => <li key={c.name}>{c.place_label}, {c.label}: {c.origin}</li>)}
      </ul>
    </Fold>
  );
}

/** What is added to the other recording's times: whole days, so that the hours of the day lie over each other. */
export function dayShift(first: Channels, second: Channels): number {
  const day = 24 * hour;
  const a = wallTime(first.start_ms, first.clock);
  const b = wallTime(second.start_ms, second.clock);
  const days = Math.floor(a / day) - Math.floor(b / day);
  return days * day + (b - second.start_ms) - (a - first.start_ms);
}

function Controls({ start, end }: { start: number; end: number }) {
  const { channels } = useRecording();
  const now = useCalmCell(span, 80) ?? [start, end];
  const zoom = (f: number) => span.set(zoomed(span.get() ?? [start, end], f, 0.5, start, end));
  const pan = (s: number) => span.set(panned(span.get() ?? [start, end], s, start, end));
  return (
    <div class="row controls">
      <div class="choice" role="group" aria-label="Stretch shown">
        <button type="button" onClick={() => pan(-0.5)}>Earlier</button>
        <button type="button" onClick={() => zoom(0.5)}>Closer</button>
        <button type="button" onClick={() => zoom(2)}>Wider</button>
        <button type="button" onClick={() => pan(0.5)}>Later</button>
      </div>
      <div class="choice" role="group" aria-label="Length around the cursor">
        <button type="button" onClick={() => span.set([start, end])}>Whole</button>
        {end - start > 30 * hour ? <button type="button" onClick={() => lookAround(24 * hour, start, end)}>Day</button> : null}
        <button type="button" onClick={() => lookAround(hour, start, end)}>Hour</button>
      </div>
      <span class="soft">{spanText(now, channels.clock)} ({durationText((now[1] - now[0]) / 1000)})</span>
    </div>
  );
}

/** A second recording behind the first, where the address names one. */
function useSecond(other: string) {
  const channels = useJson<Channels>(other === "" ? null : `/api/recordings/${other}/channels`);
  const info = useJson<RecordingInfo>(other === "" ? null : `/api/recordings/${other}`).data;
  return { channels: channels.data, error: channels.error, info };
}

/** The stage in its place, made anew when what it shows changes. `turn` counts the data that have come. */
function useStage(groups: readonly LaneGroup[], show: Check | undefined, other: string, second: Channels | undefined) {
  const { info, channels, phases } = useRecording();
  const units = useUnits();
  const shade = useCell(theme);
  const verdict = useJson<VerdictJson>(`/api/recordings/${info.id}/verdict?units=${units.system}`).data;
  const place = useRef<HTMLDivElement>(null);
  const [stage, setStage] = useState<Stage | null>(null);
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    const root = place.current;
    if (!root || (other !== "" && !second)) return;
    const { start_ms: start, end_ms: end, clock } = channels;
    const made = new Stage(root, {
      recording: info.id, start, end, clock, phases, groups,
      shades: shadesOf(verdict, show, channels.channels, units),
      system: units.system,
      second: second ? { recording: other, start: second.start_ms, end: second.end_ms, shift: dayShift(channels, second) } : null,
    }, () => setTurn((n) => n + 1));
    // The bench reads how long redraws took.
    (root as HTMLElement & { stage?: Stage }).stage = made;
    setStage(made);
    return () => made.end();
  }, [info.id, groups, verdict, show, units.system, second, shade]);
  return { place, stage, turn };
}

/** Keys of the time line, wherever the focus is. */
function useStretchKeys(start: number, end: number): void {
  useEffect(() => {
    const press = (e: KeyboardEvent) => {
      if (e.ctrlKey || e.altKey || e.metaKey || (e.target as HTMLElement).closest?.("input, select, textarea, dialog")) return;
      const now = span.get() ?? [start, end];
      const next = { "+": zoomed(now, 0.5, 0.5, start, end), "=": zoomed(now, 0.5, 0.5, start, end), "-": zoomed(now, 2, 0.5, start, end),
        "[": panned(now, -0.25, start, end), "]": panned(now, 0.25, start, end), w: [start, end] as const }[e.key];
      if (!next) return;
      e.preventDefault();
      span.set(next);
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  }, [start, end]);
}

function ShownFinding({ check }: { check: Check }) {
  return (
    <p class="shown-finding">
      <Mark of={check.verdict} /> {placeWords(check.place)}: {check.because}{" "}
      <button type="button" class="quiet small" onClick={() => note({ show: undefined })}>Done with this finding</button>
    </p>
  );
}

export function TimelineView() {
  const { info, channels, phases } = useRecording();
  const units = useUnits();
  const ask = useCell(address).ask;
  const verdict = useJson<VerdictJson>(`/api/recordings/${info.id}/verdict?units=${units.system}`).data;
  const show = findingOf(verdict, ask["show"]);
  const other = ask["with"] ?? "";
  const second = useSecond(other);
  const listed = ask["ch"];
  const names = listed === undefined ? firstChannels(channels.channels) : listed.split(",").filter(Boolean);
  const key = names.join(",");
  const groups = useMemo(() => {
    const known = new Map(channels.channels.map((c) => [c.name, c]));
    const found = key.split(",").flatMap((n) => known.get(n) ?? []);
    return laneGroups(found.slice(0, mostChannels));
  }, [key, channels]);
  const { place, stage, turn } = useStage(groups, show, other, second.channels);
  useStretchKeys(channels.start_ms, channels.end_ms);
  const set = (next: string[]) => note({ ch: next.join(",") || "none" });
  // The same element again is not looked through again: there may be hundreds of channels.
  const picker = useMemo(
    () => <ChannelPicker channels={channels.channels} chosen={key.split(",").filter(Boolean)} most={mostChannels} onChange={set} />,
    [channels, key],
  );
  const trouble = stage?.error ? failureOf(stage.error) : second.error;
  return (
    <article>
      <Title>Time line</Title>
      {show ? <ShownFinding check={show} /> : null}
      {trouble ? <Trouble error={trouble} /> : null}
      <Controls start={channels.start_ms} end={channels.end_ms} />
      {groups.length === 0 ? <p class="soft">No channel is chosen. Choose some below.</p> : null}
      <div ref={place} class="stage-plot" tabIndex={0} role="application"
        aria-label="Plots over time. Arrow keys move the cursor, plus and minus zoom, brackets pan; the table below has the values."
        onKeyDown={(e) => {
          if (moveCursor(e, channels, phases.system.map((p) => p.start_ms))) e.preventDefault();
        }}
      />
      <Legend groups={groups} stage={stage} turn={turn} second={second.info?.name} onRemove={(n) => set(names.filter((x) => x !== n))} />
      <Origins groups={groups} />
      <div class="row">
        <OtherRecording value={other} none="nothing" onPick={(id) => note({ with: id || undefined })}>
          Compare with
        </OtherRecording>
        {second.channels ? (
          <span class="soft">
            Thin dotted lines: {second.info?.name}, from {instantText(second.channels.start_ms, second.channels.clock)}, laid over by the hour of the day.
          </span>
        ) : null}
      </div>
      {second.channels ? <Unlike other={other} /> : null}
      {picker}
    </article>
  );
}
