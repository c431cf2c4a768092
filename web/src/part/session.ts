import { createContext } from "preact";
import { useContext, useEffect, useState } from "preact/hooks";
import { failureOf, followJob, sendJson, useJson } from "../api/client.ts";
import type { About, Channels, Failure, Phases, Progress, RecordingInfo } from "../api/types.ts";
import { judgeAnew } from "../base/anew.ts";
import { Cell, useCell } from "../base/cell.ts";
import { address, noteLater, unitSystem } from "../base/route.ts";
import { numberText, quantityText, unitOf, type UnitSystem } from "../base/units.ts";

/** The instant that all views look at, and the stretch that the time line shows; ms. */
export const cursor = new Cell<number | null>(null);
export const span = new Cell<readonly [number, number] | null>(null);
export const about = new Cell<About | null>(null);

export interface OpenRecording {
  info: RecordingInfo;
  channels: Channels;
  phases: Phases;
}

export const RecordingContext = createContext<OpenRecording | null>(null);

/** The open recording; only below the shell's guard, which shows nothing without one. */
export function useRecording(): OpenRecording {
  const open = useContext(RecordingContext);
  if (open === null) throw new Error("A view of a recording was drawn without one.");
  return open;
}

export interface Shown {
  system: UnitSystem;
  text(si: number | null | undefined, dimension: string, more?: number): string;
  number(si: number | null | undefined, dimension: string, more?: number): string;
  symbol(dimension: string): string;
}

export function shownIn(system: UnitSystem): Shown {
  return {
    system,
    text: (si, dimension, more = 0) => quantityText(si, dimension, system, more),
    number: (si, dimension, more = 0) => numberText(si, unitOf(dimension, system), more),
    symbol: (dimension) => unitOf(dimension, system).symbol,
  };
}

export function useUnits(): Shown {
  return shownIn(unitSystem(useCell(address)));
}

export interface Opening {
  open?: OpenRecording;
  progress?: Progress;
  error?: Failure;
}

/** Reads and judges a recording with progress, then loads what every view of it needs. */
export function useOpening(id: string | undefined): Opening {
  const turn = useCell(judgeAnew);
  const key = `${id} ${turn}`;
  const [job, setJob] = useState<{ key?: string; done: boolean; progress?: Progress; error?: Failure }>({
    done: false,
  });
  useEffect(() => {
    if (id === undefined) return;
    let live = true;
    setJob({ key, done: false });
    (async () => {
      const path = `/api/recordings/${id}/open?units=${unitSystem(address.get())}`;
      const { job: work } = await sendJson<{ job: string }>("POST", path, {});
      await followJob(work, (progress) => live && setJob({ key, done: false, progress }));
    })().then(
      () => live && setJob({ key, done: true }),
      (error: unknown) => live && setJob({ key, done: false, error: failureOf(error) }),
    );
    return () => {
      live = false;
    };
  }, [key]);
  const at = id !== undefined && job.done && job.key === key ? `/api/recordings/${id}` : null;
  const info = useJson<RecordingInfo>(at);
  const channels = useJson<Channels>(at && `${at}/channels`);
  const phases = useJson<Phases>(at && `${at}/phases`);
  const error = job.error ?? info.error ?? channels.error ?? phases.error;
  if (error) return { error };
  if (info.data && channels.data && phases.data) {
    return { open: { info: info.data, channels: channels.data, phases: phases.data } };
  }
  return job.progress ? { progress: job.progress } : {};
}

/** Puts the cursor and the stretch of the address into force; what it does not say stays as it is, where that fits. */
export function settleOn(channels: Channels): void {
  const { start_ms: start, end_ms: end } = channels;
  const ask = address.get().ask;
  const within = (ms: number | null | undefined) =>
    ms !== null && ms !== undefined && ms >= start && ms <= end ? ms : undefined;
  const said = (text: string | undefined) => (text === undefined ? undefined : within(Number(text)));
  cursor.set(said(ask["t"]) ?? within(cursor.get()) ?? start + 0.5 * (end - start));
  const from = said(ask["from"]);
  const to = said(ask["to"]);
  const before = span.get();
  if (from !== undefined && to !== undefined && to > from) span.set([from, to]);
  else if (!before || within(before[0]) === undefined || within(before[1]) === undefined) span.set([start, end]);
}

cursor.listen((ms) => {
  if (ms !== null) noteLater({ t: String(Math.round(ms)) });
});
span.listen((s) => {
  if (s !== null) noteLater({ from: String(Math.round(s[0])), to: String(Math.round(s[1])) });
});
