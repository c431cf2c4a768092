import { ask } from "../api/client.ts";
import { parseSeries, seriesPath, bucketEmpty, type Buckets } from "../api/series.ts";
import { judgeAnew } from "../base/anew.ts";

/** Buckets of one tile; at level k a bucket is `finest * 2^k` ms long. */
export const tileBuckets = 512;
const finest = 125;
const highest = 34;

export interface Piece {
  buckets: Buckets;
  from: number;
  width: number;
  /** Only the readings between these two instants are to be drawn. */
  clipFrom: number;
  clipTo: number;
}

export function bucketWidth(level: number): number {
  return finest * 2 ** level;
}

/** The level at which a stretch has at most so many buckets. */
export function levelFor(length: number, buckets: number): number {
  const wanted = Math.ceil(Math.log2(length / buckets / finest));
  return Math.min(highest, Math.max(0, wanted));
}

export function tileLength(level: number): number {
  return tileBuckets * bucketWidth(level);
}

interface Asked {
  channels: string[];
  level: number;
  index: number;
}

/**
 * Min/max buckets of a recording's channels by zoom level, fetched as they are wanted and kept, so that panning draws
 * what is there at once and sharpens when the rest has come.
 */
export class Tiles {
  private readonly have = new Map<string, Buckets>();
  private readonly coming = new Set<string>();
  private readonly queue: Asked[] = [];
  private running = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private wanted: Asked[] = [];
  /** What was looked through last: a pan within the same tiles needs no second look. */
  private looked = "";
  /** What each channel was last drawn from: a frame asks for its range first and for its line then. */
  private readonly latest = new Map<string, { from: number; to: number; level: number; coarser: number; pieces: Piece[] }>();
  /** Called when tiles have come, or could not. */
  onCome: () => void = () => undefined;
  /** What went wrong last; null when the latest answer was good. */
  error: unknown = null;

  constructor(
    private readonly recording: string,
    private readonly start: number,
    private readonly end: number,
    private readonly most = 4000,
  ) {}

  private key(channel: string, level: number, index: number): string {
    return `${channel} ${level} ${index}`;
  }

  private tile(channel: string, level: number, index: number): Buckets | undefined {
    const key = this.key(channel, level, index);
    const found = this.have.get(key);
    if (found) {
      // The latest used stand last; the first ones are dropped.
      this.have.delete(key);
      this.have.set(key, found);
    }
    return found;
  }

  /**
   * What can be drawn now between two instants, from the level asked or the next coarser that is here. `coarser`: so many
   * levels up are preferred where they are here, for what must be quick.
   */
  pieces(channel: string, from: number, to: number, level: number, coarser = 0): Piece[] {
    const known = this.latest.get(channel);
    if (known && known.from === from && known.to === to && known.level === level && known.coarser === coarser) return known.pieces;
    const pieces = this.found(channel, from, to, level, coarser);
    this.latest.set(channel, { from, to, level, coarser, pieces });
    return pieces;
  }

  private found(channel: string, from: number, to: number, level: number, coarser: number): Piece[] {
    const out: Piece[] = [];
    const length = tileLength(level);
    const a = Math.floor(Math.max(from, this.start) / length);
    const b = Math.floor(Math.min(to, this.end) / length);
    for (let index = a; index <= b; ++index) {
      const clipFrom = index * length;
      const clipTo = clipFrom + length;
      for (let k = 0; k <= highest - level && k < 16; ++k) {
        // The preferred level first, then those below it from there on down, then the others.
        const up = k <= coarser ? coarser - k : k;
        const coarse = Math.floor(index / 2 ** up);
        const buckets = this.tile(channel, level + up, coarse);
        if (!buckets) continue;
        const whole = tileLength(level + up);
        const last = out.at(-1);
        if (last && last.buckets === buckets) last.clipTo = clipTo;
        else out.push({ buckets, from: coarse * whole, width: bucketWidth(level + up), clipFrom, clipTo });
        break;
      }
    }
    return out;
  }

  /** Says what is looked at; what is missing is asked for shortly after, the nearest first. */
  want(channels: readonly string[], from: number, to: number, level: number): void {
    const length = tileLength(level);
    const a = Math.floor(Math.max(from, this.start) / length);
    const b = Math.floor(Math.min(to, this.end) / length);
    const looking = `${a} ${b} ${level} ${channels.join(" ")}`;
    if (looking === this.looked) return;
    this.looked = looking;
    const wanted: Asked[] = [];
    const add = (index: number, at: number) => {
      const begins = index * tileLength(at);
      if (begins > this.end || begins + tileLength(at) < this.start) return;
      const missing = channels.filter((c) => {
        const key = this.key(c, at, index);
        return !this.have.has(key) && !this.coming.has(key);
      });
      for (let i = 0; i < missing.length; i += 48) {
        wanted.push({ channels: missing.slice(i, i + 48), level: at, index });
      }
    };
    for (let index = a; index <= b; ++index) add(index, level);
    // What a finger reaches next: both sides, and one level out.
    add(a - 1, level);
    add(b + 1, level);
    add(Math.floor(a / 2), level + 1);
    add(Math.floor(b / 2), level + 1);
    this.wanted = wanted;
    if (wanted.length === 0) return;
    this.timer ??= setTimeout(() => {
      this.timer = undefined;
      this.queue.length = 0;
      this.queue.push(...this.wanted);
      this.pump();
    }, 30);
  }

  private pump(): void {
    while (this.running < 3) {
      const next = this.queue.shift();
      if (!next) return;
      const channels = next.channels.filter((c) => {
        const key = this.key(c, next.level, next.index);
        return !this.have.has(key) && !this.coming.has(key);
      });
      if (channels.length > 0) void this.fetch({ ...next, channels });
    }
  }

  private async fetch({ channels, level, index }: Asked): Promise<void> {
    const keys = channels.map((c) => this.key(c, level, index));
    for (const key of keys) this.coming.add(key);
    ++this.running;
    try {
      const from = index * tileLength(level);
      const path = seriesPath(this.recording, channels, from, from + tileLength(level), tileBuckets);
      const block = parseSeries(await (await ask(path)).arrayBuffer());
      block.channels.forEach((buckets, i) => {
        const key = keys[i];
        if (key !== undefined) this.have.set(key, buckets);
      });
      this.error = null;
      while (this.have.size > this.most) {
        const oldest = this.have.keys().next().value;
        if (oldest === undefined) break;
        this.have.delete(oldest);
      }
    } catch (error) {
      this.error = error;
    } finally {
      for (const key of keys) this.coming.delete(key);
      --this.running;
      this.looked = "";
      this.latest.clear();
      this.onCome();
      this.pump();
    }
  }

  /** Lowest and highest value between two instants of what is here; null when nothing is. */
  range(channel: string, from: number, to: number, level: number, coarser = 0): [number, number] | null {
    let low = Infinity;
    let high = -Infinity;
    for (const piece of this.pieces(channel, from, to, level, coarser)) {
      const [i0, i1] = indices(piece, from, to);
      const { flags, lowest, highest: top } = piece.buckets;
      for (let i = i0; i <= i1; ++i) {
        if ((flags[i] ?? 1) & bucketEmpty) continue;
        low = Math.min(low, lowest[i] ?? low);
        high = Math.max(high, top[i] ?? high);
      }
    }
    return low <= high ? [low, high] : null;
  }

  /** What the channel was at an instant: its last reading until then, or the range of a longer piece. */
  at(channel: string, ms: number, level: number): { low: number; high: number; exact: boolean } | null {
    const length = tileLength(level);
    const pieces = this.pieces(channel, ms - length, ms, level);
    for (let p = pieces.length - 1; p >= 0; --p) {
      const piece = pieces[p];
      if (!piece) continue;
      const { flags, lowest, highest: top, firstTime, lastTime, last } = piece.buckets;
      const begin = Math.min(tileBuckets - 1, Math.floor((ms - piece.from) / piece.width));
      for (let i = begin; i >= 0; --i) {
        if ((flags[i] ?? 1) & bucketEmpty) continue;
        const begins = firstTime[i] ?? 0;
        const ends = lastTime[i] ?? 0;
        if (begins > ms) continue;
        if (ends <= ms || begins === ends) {
          const v = last[i] ?? NaN;
          return { low: v, high: v, exact: true };
        }
        const low = lowest[i] ?? NaN;
        const high = top[i] ?? NaN;
        return { low, high, exact: low === high };
      }
    }
    return null;
  }
}

/** The buckets of a piece that lie between two instants and inside its clip. */
export function indices(piece: Piece, from: number, to: number): [number, number] {
  const a = Math.max(from, piece.clipFrom);
  const b = Math.min(to, piece.clipTo - 1);
  return [
    Math.max(0, Math.floor((a - piece.from) / piece.width)),
    Math.min(tileBuckets - 1, Math.floor((b - piece.from) / piece.width)),
  ];
}

const shared = new Map<string, Tiles>();
// What was said of a recording may change its readings: gauge pressures, units, the clock.
judgeAnew.listen(() => shared.clear());

/** The tiles of a recording, kept from one look at it to the next; only those of the last few recordings. */
export function tilesOf(recording: string, start: number, end: number): Tiles {
  const known = shared.get(recording);
  if (known) return known;
  const made = new Tiles(recording, start, end);
  shared.set(recording, made);
  const oldest = shared.keys().next().value;
  if (shared.size > 3 && oldest !== undefined) shared.delete(oldest);
  return made;
}
