import { useEffect, useRef } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { Channels, Phase, VerdictJson } from "../api/types.ts";
import { instantText, isoMs, timeTicks } from "../base/time.ts";
import { contextOf, oncePerFrame, plotFont, useSize } from "../plot/canvas.ts";
import { drawPhases, phaseAt, phaseNames } from "../plot/phases.ts";
import { cursor, span, useRecording, useUnits } from "./session.ts";
import { useCell } from "../base/cell.ts";
import { colour, theme } from "./theme.ts";

const height = 70;
const bandTop = 6;
const bandHeight = 22;
const markTop = bandTop + bandHeight + 2;
const timesTop = markTop + 15;

interface Stretch {
  from: number;
  to: number;
  row: number;
}

const evidenceRows = 4;

/** Evidence of findings, one below the other so that a long one does not hide the others. */
function evidenceOf(verdict: VerdictJson | undefined): Stretch[] {
  const bad = (verdict?.checks ?? []).filter((c) => c.verdict === "fault" || c.verdict === "watch");
  return bad.flatMap((check, i) =>
    check.evidence.map((e) => ({ from: isoMs(e.start), to: isoMs(e.end), row: i % evidenceRows })),
  );
}

/** The strip's canvas: what stands still drawn once, cursor and frame at each change. */
function useDrawing(width: number) {
  const { channels, phases, info } = useRecording();
  const units = useUnits();
  const verdict = useJson<VerdictJson>(`/api/recordings/${info.id}/verdict?units=${units.system}`).data;
  const canvas = useRef<HTMLCanvasElement>(null);
  const shade = useCell(theme);
  useEffect(() => {
    const element = canvas.current;
    if (!element || width < 10) return;
    const still = document.createElement("canvas");
    const c = contextOf(still, width, height);
    if (c) drawStill(c, width, channels, phases.system, evidenceOf(verdict));
    const draw = oncePerFrame(() => drawLive(element, still, width, channels));
    draw();
    const stop = [cursor.listen(draw), span.listen(draw)];
    return () => stop.forEach((s) => s());
  }, [width, verdict, phases, channels, shade]);
  return canvas;
}

/** The instant at the cursor in words, and what the colours mean. */
function Now({ now, phase }: { now: number; phase: string | undefined }) {
  const { channels, phases } = useRecording();
  const used = phaseNames.filter((name) => phases.system.some((p) => p.phase === name));
  return (
    <p class="ribbon-now">
      <strong>{instantText(now, channels.clock)}</strong>
      <span>{phase ?? "unknown"}</span>
      <span class="ribbon-key">
        {used.map((name) => (
          <span key={name} class={`phase-key phase-${name}`}>
            {name}
          </span>
        ))}
      </span>
    </p>
  );
}

/**
 * The whole recording as one strip that stays on every view: what the machine was doing, where findings have their
 * evidence, what the time line shows, and the cursor, to be dragged with a finger or moved with arrow keys.
 */
export function Ribbon() {
  const { channels, phases } = useRecording();
  const [ref, width] = useSize<HTMLDivElement>();
  const canvas = useDrawing(width);
  const now = useCell(cursor) ?? channels.start_ms;
  const { start_ms: start, end_ms: end, clock } = channels;
  const phase = phaseAt(phases.system, now)?.phase;
  const place = (event: PointerEvent) => {
    const box = (event.currentTarget as HTMLElement).getBoundingClientRect();
    const share = Math.min(1, Math.max(0, (event.clientX - box.left) / box.width));
    cursor.set(start + share * (end - start));
  };
  return (
    <div class="ribbon">
      <Now now={now} phase={phase} />
      <div
        ref={ref}
        class="ribbon-strip"
        role="slider"
        tabIndex={0}
        aria-label="Cursor in the recording"
        aria-valuemin={start}
        aria-valuemax={end}
        aria-valuenow={Math.round(now)}
        aria-valuetext={`${instantText(now, clock)}, ${phase ?? "phase unknown"}`}
        title="Drag, or use the arrow keys: Shift for an hour, Page keys for the next change of phase"
        onPointerDown={(e) => {
          (e.currentTarget as HTMLElement).setPointerCapture(e.pointerId);
          place(e);
        }}
        onPointerMove={(e) => e.buttons > 0 && place(e)}
        onKeyDown={(e) => {
          if (moveCursor(e, channels, phases.system.map((p) => p.start_ms))) e.preventDefault();
        }}
      >
        <canvas ref={canvas} class="fill" aria-hidden="true" />
      </div>
    </div>
  );
}

/** What does not move: phases, evidence, times. Drawn once for each size and light. */
function drawStill(
  c: CanvasRenderingContext2D,
  width: number,
  channels: Channels,
  phases: readonly Phase[],
  marks: readonly Stretch[],
): void {
  const { start_ms: start, end_ms: end, clock } = channels;
  const x = (ms: number) => ((ms - start) / (end - start)) * width;
  drawPhases(c, phases, start, end, { left: 0, top: bandTop, width, height: bandHeight });
  c.fillStyle = colour("fault");
  for (const m of marks) c.fillRect(x(m.from), markTop + 3.5 * m.row, Math.max(2, x(m.to) - x(m.from)), 2.5);
  c.font = plotFont;
  c.textBaseline = "top";
  c.fillStyle = colour("soft");
  let clear = 0;
  for (const tick of timeTicks(start, end, Math.max(2, width / 90), clock)) {
    c.fillRect(x(tick.ms), timesTop, 1, 5);
    const text = tick.major && !tick.text.includes("-") ? instantText(tick.ms, clock).slice(5) : tick.text;
    const at = x(tick.ms) + 4;
    const room = c.measureText(text).width;
    if (at > clear && at + room < width) {
      c.fillText(text, at, timesTop + 2);
      clear = at + room + 8;
    }
  }
}

/** The still picture with the frame of what the time line shows, and the cursor. */
function drawLive(element: HTMLCanvasElement, still: HTMLCanvasElement, width: number, channels: Channels): void {
  const c = contextOf(element, width, height);
  if (!c) return;
  const { start_ms: start, end_ms: end } = channels;
  const x = (ms: number) => ((ms - start) / (end - start)) * width;
  c.drawImage(still, 0, 0, width, height);
  const shown = span.get();
  if (shown && (shown[0] > start || shown[1] < end)) {
    c.strokeStyle = colour("ink");
    c.lineWidth = 2;
    const a = x(shown[0]);
    c.strokeRect(a, bandTop - 3, Math.max(4, x(shown[1]) - a), bandHeight + 6);
  }
  const at = cursor.get();
  if (at === null) return;
  c.fillStyle = colour("panel");
  c.fillRect(x(at) - 3, 0, 6, timesTop);
  c.fillStyle = colour("ink");
  c.fillRect(x(at) - 1.5, 0, 3, timesTop);
}

/** Moves the cursor for a key; false when the key means nothing here. */
export function moveCursor(
  event: KeyboardEvent,
  channels: { start_ms: number; end_ms: number; rows: number },
  changes: readonly number[],
): boolean {
  const { start_ms: start, end_ms: end } = channels;
  const now = cursor.get() ?? start;
  const row = Math.max(1000, (end - start) / Math.max(1, channels.rows - 1));
  const step = event.shiftKey ? 3_600_000 : row;
  const to = {
    ArrowLeft: now - step,
    ArrowRight: now + step,
    Home: start,
    End: end,
    PageUp: [...changes].reverse().find((c) => c < now - 1) ?? start,
    PageDown: changes.find((c) => c > now + 1) ?? end,
  }[event.key];
  if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return false;
  cursor.set(Math.min(end, Math.max(start, to)));
  return true;
}
