import { useEffect, useRef } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { UnitRow, UnitsJson } from "../api/types.ts";
import { useCalmCell, useCell } from "../base/cell.ts";
import { linkTo } from "../base/route.ts";
import { durationText, timeTicks } from "../base/time.ts";
import { percentText } from "../base/causes.ts";
import { Mark, Title, Trouble, Working } from "../part/bits.tsx";
import { cursor, span, useRecording, useUnits } from "../part/session.ts";
import { colour, theme } from "../part/theme.ts";
import { contextOf, plotFont, useSize } from "../plot/canvas.ts";
import { deviationColour } from "../plot/heat.ts";

const rowHeight = 44;
const axisHeight = 24;

/** One unit over time: colour says how far from its set point, the bar below whether it calls. */
function drawRow(
  c: CanvasRenderingContext2D,
  unit: UnitRow,
  from: number,
  to: number,
  shown: readonly [number, number],
  width: number,
): void {
  const n = unit.state.length;
  const step = (to - from) / n;
  const x = (ms: number) => ((ms - shown[0]) / (shown[1] - shown[0])) * width;
  const ink = colour("ink");
  for (let i = 0; i < n; ++i) {
    const a = x(from + i * step);
    const b = x(from + (i + 1) * step);
    if (b < 0 || a > width) continue;
    const state = unit.state[i];
    const d = unit.deviation[i];
    if (state === ".") continue;
    if (d !== null && d !== undefined) {
      c.fillStyle = deviationColour(d);
      c.fillRect(a, 2, b - a + 0.5, rowHeight - 12);
    }
    if (state === "c" || state === "h") {
      c.fillStyle = ink;
      // Calls and is away: a thick bar; calls and holds: a thin one; idle: a dot's height; off: nothing.
      const thick = state === "c" ? 6 : 2.5;
      c.fillRect(a, rowHeight - 3 - thick, b - a + 0.5, thick);
    } else if (state === "i") {
      c.fillStyle = colour("line");
      c.fillRect(a, rowHeight - 4, b - a + 0.5, 1);
    }
  }
}

function Strip({ unit, data, shown }: { unit: UnitRow; data: UnitsJson; shown: readonly [number, number] }) {
  const [ref, width] = useSize<HTMLDivElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const hair = useRef<HTMLDivElement>(null);
  const shade = useCell(theme);
  useEffect(() => {
    const element = canvas.current;
    if (!element || width < 20) return;
    const c = contextOf(element, width, rowHeight);
    if (c) drawRow(c, unit, data.from_ms, data.to_ms, shown, width);
    const place = () => {
      const line = hair.current;
      const at = cursor.get();
      if (!line || at === null) return;
      const share = (at - shown[0]) / (shown[1] - shown[0]);
      line.hidden = share < 0 || share > 1;
      line.style.transform = `translateX(${share * width}px)`;
    };
    place();
    return cursor.listen(place);
  }, [unit, data, width, shown[0], shown[1], shade]);
  return (
    <div
      ref={ref}
      class="unit-strip"
      onPointerDown={(e) => {
        const box = e.currentTarget.getBoundingClientRect();
        cursor.set(shown[0] + ((e.clientX - box.left) / box.width) * (shown[1] - shown[0]));
      }}
    >
      <canvas ref={canvas} class="fill" aria-hidden="true" />
      <div ref={hair} class="unit-hair" />
    </div>
  );
}

function TimesBelow({ shown }: { shown: readonly [number, number] }) {
  const { channels } = useRecording();
  const [ref, width] = useSize<HTMLDivElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const shade = useCell(theme);
  useEffect(() => {
    const element = canvas.current;
    if (!element || width < 20) return;
    const c = contextOf(element, width, axisHeight);
    if (!c) return;
    c.font = plotFont;
    c.fillStyle = colour("soft");
    c.textBaseline = "top";
    c.textAlign = "center";
    for (const t of timeTicks(shown[0], shown[1], Math.max(2, width / 90), channels.clock)) {
      const x = ((t.ms - shown[0]) / (shown[1] - shown[0])) * width;
      c.fillRect(x, 0, 1, 5);
      if (x > 24 && x < width - 24) c.fillText(t.text, x, 7);
    }
  }, [width, shown[0], shown[1], channels, shade]);
  return (
    <div ref={ref} class="unit-times">
      <canvas ref={canvas} class="fill" aria-hidden="true" />
    </div>
  );
}

const stateWords: Record<string, string> = {
  c: "calls, on its way",
  h: "calls, holds",
  i: "on, does not call",
  o: "off",
  ".": "not known",
};

function share(unit: UnitRow): string {
  if (!/[^.]/.test(unit.state)) return "whether it calls, or holds its set point, is not in the log";
  if (unit.calling_s <= 0) return "did not call";
  const away = unit.away_s > 0 ? `, away from its set point for ${durationText(unit.away_s)}` : ", held its set point";
  return `called ${durationText(unit.calling_s)}${away}`;
}

/** What the colours and the bars mean. */
function Key() {
  const units = useUnits();
  return (
    <>
      <ul class="heat-key">
        {[-4, -2, 0, 2, 4].map((d) => (
          <li key={d}>
            <svg width="22" height="16" aria-hidden="true">
              <rect width="22" height="16" fill={deviationColour(d)} />
            </svg>{" "}
            {d === 0 ? "at its set point" : `${units.text(Math.abs(d), "temperature_difference", -1)} too ${d < 0 ? "cold" : "warm"}`}
          </li>
        ))}
      </ul>
      <span class="soft">Bar below: thick, calls and is on its way; thin, calls and holds.</span>
    </>
  );
}

/** One unit: its name, its strip, and what it does at the cursor. */
function Unit({ unit, data, shown, at }: { unit: UnitRow; data: UnitsJson; shown: readonly [number, number]; at: number }) {
  const { channels } = useRecording();
  const units = useUnits();
  const pieces = unit.state.length;
  const i = Math.min(pieces - 1, Math.max(0, Math.floor(((at - data.from_ms) / (data.to_ms - data.from_ms)) * pieces)));
  const d = unit.deviation[i];
  const own = channels.channels.filter((c) => c.place === unit.place).map((c) => c.name).slice(0, 8);
  return (
    <li class="unit-row">
      <div class="unit-name">
        <a class="roomy" href={linkTo("time", { ch: own.join(",") })}>{unit.label}</a>{" "}
        {unit.verdict === "fault" || unit.verdict === "watch" ? <Mark of={unit.verdict} /> : null}
      </div>
      <Strip unit={unit} data={data} shown={shown} />
      <div class="unit-said">
        <strong>
          {d === null || d === undefined
            ? ""
            : `${d > 0 ? "+" : ""}${units.text(d, "temperature_difference")} from its set point; `}
          {stateWords[unit.state[i] ?? "."]}
        </strong>
        <span class="soft">
          {" "}
          · {share(unit)}
          {unit.trouble > 0 ? ` (${percentText(unit.trouble)} of its calling time)` : ""}
        </span>
      </div>
    </li>
  );
}

export function UnitsView() {
  const { info, channels } = useRecording();
  const shown = useCalmCell(span, 200) ?? [channels.start_ms, channels.end_ms];
  const at = useCalmCell(cursor, 60) ?? channels.start_ms;
  const [from, to] = [Math.round(shown[0]), Math.round(shown[1])];
  const { data, error } = useJson<UnitsJson>(`/api/recordings/${info.id}/units?from=${from}&to=${to}&points=480`);
  if (error) return <Trouble error={error} />;
  const whole = shown[0] <= channels.start_ms && shown[1] >= channels.end_ms;
  return (
    <article>
      <Title>Units, the odd one out on top</Title>
      {data === undefined ? (
        <Working progress={{ fraction: null, what: "Sorting the units" }} />
      ) : data.units.length === 0 ? (
        <p>This recording has no indoor units.</p>
      ) : (
        <>
          <div class="row">
            <Key />
            {whole ? null : (
              <button type="button" onClick={() => span.set([channels.start_ms, channels.end_ms])}>
                Whole recording
              </button>
            )}
          </div>
          <ul class="unit-rows">
            {data.units.map((u) => <Unit key={u.place} unit={u} data={data} shown={shown} at={at} />)}
          </ul>
          <div class="unit-row">
            <span />
            <TimesBelow shown={shown} />
          </div>
        </>
      )}
    </article>
  );
}
