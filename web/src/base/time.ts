/** How the recording's clock is to be read; times are ms since 1970. */
export interface Clock {
  kind: "unstated" | "offset" | "zone";
  offset_minutes?: number;
  zone?: string;
}

const minute = 60_000;
const hour = 60 * minute;
const day = 24 * hour;

const formats = new Map<string, Intl.DateTimeFormat>();
const offsets = new Map<string, number>();

function zoneOffset(ms: number, zone: string): number {
  // Clocks change on the quarter hour at the finest.
  const key = `${zone} ${Math.floor(ms / (15 * minute))}`;
  const known = offsets.get(key);
  if (known !== undefined) return known;
  let format = formats.get(zone);
  if (!format) {
    format = new Intl.DateTimeFormat("en-GB", {
      timeZone: zone,
      hourCycle: "h23",
      year: "numeric",
      month: "numeric",
      day: "numeric",
      hour: "numeric",
      minute: "numeric",
      second: "numeric",
    });
    formats.set(zone, format);
  }
  const part: Record<string, number> = {};
  for (const p of format.formatToParts(ms)) part[p.type] = Number(p.value);
  const wall = Date.UTC(
    part["year"] ?? 1970,
    (part["month"] ?? 1) - 1,
    part["day"] ?? 1,
    part["hour"] ?? 0,
    part["minute"] ?? 0,
    part["second"] ?? 0,
  );
  const found = wall - Math.floor(ms / 1000) * 1000;
  if (offsets.size > 4000) offsets.clear();
  offsets.set(key, found);
  return found;
}

/** The wall clock at the machine, as ms that are read like UTC. */
export function wallTime(ms: number, clock: Clock): number {
  if (clock.kind === "offset") return ms + (clock.offset_minutes ?? 0) * minute;
  if (clock.kind === "zone" && clock.zone) return ms + zoneOffset(ms, clock.zone);
  return ms;
}

const two = (n: number) => String(n).padStart(2, "0");

export function dayText(ms: number, clock: Clock): string {
  const d = new Date(wallTime(ms, clock));
  return `${d.getUTCFullYear()}-${two(d.getUTCMonth() + 1)}-${two(d.getUTCDate())}`;
}

export function hourText(ms: number, clock: Clock, seconds = false): string {
  const d = new Date(wallTime(ms, clock));
  const text = `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}`;
  return seconds || d.getUTCSeconds() !== 0 ? `${text}:${two(d.getUTCSeconds())}` : text;
}

export function instantText(ms: number, clock: Clock): string {
  return `${dayText(ms, clock)} ${hourText(ms, clock)}`;
}

/** "1 h 05 min", "37 min 30 s", "3 d 4 h". */
export function durationText(seconds: number): string {
  const s = Math.round(seconds);
  if (s < 60) return `${s} s`;
  if (s < 3600) return s % 60 === 0 ? `${s / 60} min` : `${Math.floor(s / 60)} min ${s % 60} s`;
  if (s < 86400) return `${Math.floor(s / 3600)} h ${two(Math.floor((s % 3600) / 60))} min`;
  return `${Math.floor(s / 86400)} d ${Math.floor((s % 86400) / 3600)} h`;
}

/** An ISO text of the command line's JSON; one without an offset is read as if it were UTC. */
export function isoMs(text: string): number {
  return Date.parse(/(Z|[+-]\d\d:?\d\d)$/.test(text) ? text : `${text}Z`);
}

const steps = [
  1000, 5000, 15_000, 30_000, minute, 2 * minute, 5 * minute, 10 * minute, 15 * minute, 30 * minute,
  hour, 2 * hour, 3 * hour, 6 * hour, 12 * hour, day, 2 * day, 4 * day, 7 * day, 14 * day, 28 * day,
];

export interface Tick {
  ms: number;
  text: string;
  /** Begins a day, or is the first: the date belongs to it. */
  major: boolean;
}

/** Round times between two instants, at most `most`, at round wall-clock times. */
export function timeTicks(from: number, to: number, most: number, clock: Clock): Tick[] {
  if (!(to > from) || most < 1) return [];
  const step = steps.find((s) => (to - from) / s <= most) ?? Math.ceil((to - from) / most / day) * day;
  const out: Tick[] = [];
  const shift = wallTime(from, clock) - from;
  let wall = Math.ceil((from + shift) / step) * step;
  for (; out.length <= most + 1; wall += step) {
    // One step back and forth through the clock keeps ticks round across a change of the clock.
    let ms = wall - shift;
    ms += wall - wallTime(ms, clock);
    if (ms > to) break;
    if (ms < from) continue;
    const midnight = wall % day === 0;
    const d = new Date(wall);
    const date = `${two(d.getUTCMonth() + 1)}-${two(d.getUTCDate())}`;
    const text = step >= day ? date : hourText(ms, clock, step < minute);
    out.push({ ms, text, major: midnight });
  }
  return out;
}
