import { bucketEmpty, gapBefore, gapInside } from "../api/series.ts";
import { indices, type Piece } from "./tiles.ts";

/** A bucket with a hole of unknown place shows it, where it is wider than so many pixels. */
const widestHidden = 6;

export interface Pen {
  moveTo(x: number, y: number): void;
  lineTo(x: number, y: number): void;
}

/**
 * Draws pieces of a channel as a line that touches the lowest and the highest value of each bucket, in the order first,
 * lowest and highest, last; lifts the pen at gaps. `step` draws states, which hold until they change.
 */
export function trace(
  pen: Pen,
  pieces: readonly Piece[],
  from: number,
  to: number,
  x: (ms: number) => number,
  y: (value: number) => number,
  step: boolean,
): void {
  let down = false;
  let beforeY = 0;
  for (const piece of pieces) {
    const { flags, lowest, highest, first, last, firstTime, lastTime } = piece.buckets;
    const [i0, i1] = indices(piece, from, to);
    // One bucket more on each side where there is one, so that lines leave the picture.
    const begin = piece.clipFrom <= from ? Math.max(0, i0 - 1) : i0;
    const end = piece.clipTo >= to ? Math.min(flags.length - 1, i1 + 1) : i1;
    for (let i = begin; i <= end; ++i) {
      const flag = flags[i] ?? bucketEmpty;
      if (flag & bucketEmpty) continue;
      const xa = x(firstTime[i] as number);
      const ya = y(first[i] as number);
      if (!down || flag & gapBefore) pen.moveTo(xa, ya);
      else {
        if (step) pen.lineTo(xa, beforeY);
        pen.lineTo(xa, ya);
      }
      const xb = x(lastTime[i] as number);
      const yb = y(last[i] as number);
      if (xb > xa) {
        const low = lowest[i] as number;
        const high = highest[i] as number;
        if (low !== high) {
          const middle = 0.5 * (xa + xb);
          if (flag & gapInside && xb - xa > widestHidden) pen.moveTo(middle, y(low));
          else pen.lineTo(middle, y(low));
          pen.lineTo(middle, y(high));
        }
        if (flag & gapInside && xb - xa > widestHidden) pen.moveTo(xb, yb);
        else {
          if (step && low === high) pen.lineTo(xb, ya);
          pen.lineTo(xb, yb);
        }
      } else if (!down || flag & gapBefore) {
        // A single reading between two gaps must be seen.
        pen.lineTo(xa + 1, ya);
        pen.moveTo(xa, ya);
      }
      beforeY = yb;
      down = true;
    }
  }
}

/** Fills one upright piece of a line: left, top, width, height in pixels of the canvas. */
export type Filler = (left: number, top: number, width: number, height: number) => void;

/** How many straight pieces trace() draws between two instants, about. */
export function strokesIn(pieces: readonly Piece[], from: number, to: number): number {
  let count = 0;
  for (const piece of pieces) {
    const { flags, firstTime, lastTime } = piece.buckets;
    const [i0, i1] = indices(piece, from, to);
    for (let i = i0; i <= i1; ++i) if (!((flags[i] ?? bucketEmpty) & bucketEmpty)) count += firstTime[i] === lastTime[i] ? 1 : 3;
  }
  return count;
}

/**
 * Cuts a bar where a dashed line begins and ends its gaps, at whole pixels: `piece` is told left and width of each part
 * and whether it is in a gap. `origin`: where the pattern begins.
 */
export function cutDashes(
  dash: readonly number[],
  origin: number,
  left: number,
  width: number,
  piece: (left: number, width: number, gap: boolean) => void,
): void {
  const pattern = dash.reduce((a, d) => a + d, 0);
  if (!(pattern > 0)) {
    piece(left, width, false);
    return;
  }
  for (let at = left; at < left + width; ) {
    const phase = (((at - origin) % pattern) + pattern) % pattern;
    let [k, end] = [0, dash[0] ?? pattern];
    while (phase >= end && k + 1 < dash.length) end += dash[++k] as number;
    const next = Math.min(left + width, Math.max(at + 1, Math.ceil(at + end - phase)));
    piece(at, next - at, k % 2 === 1);
    at = next;
  }
}

export interface Columns {
  /** Least height of a bar. */
  thick: number;
  /** Width of a column, whole pixels. */
  grain: number;
  /** A state: it holds until it changes. */
  step: boolean;
}

/**
 * A line as upright bars on whole pixels, each from the lowest to the highest value of its column and joined to the one
 * before: no value is lost, there is at most about one bar a column whatever the line does, and a browser that paints
 * without a graphics card has nothing to join, to smooth or to dash. Nothing at gaps. Positions in pixels.
 */
export function fillColumns(
  fill: Filler,
  pieces: readonly Piece[],
  from: number,
  to: number,
  x: (ms: number) => number,
  y: (value: number) => number,
  how: Columns,
): void {
  const bars = new Bars(fill, x(from), x(to), how);
  for (const piece of pieces) {
    const { flags, lowest, highest, first, last, firstTime, lastTime } = piece.buckets;
    const [i0, i1] = indices(piece, from, to);
    // As trace() has it: one bucket more on each side where there is one.
    const begin = piece.clipFrom <= from ? Math.max(0, i0 - 1) : i0;
    const end = piece.clipTo >= to ? Math.min(flags.length - 1, i1 + 1) : i1;
    for (let i = begin; i <= end; ++i) {
      const flag = flags[i] ?? bucketEmpty;
      if (flag & bucketEmpty) continue;
      if (flag & gapBefore) bars.lift();
      const [xa, xb] = [x(firstTime[i] as number), x(lastTime[i] as number)];
      const [high, low, end] = [y(highest[i] as number), y(lowest[i] as number), y(last[i] as number)];
      bars.to(xa, y(first[i] as number));
      if (flag & gapInside && xb - xa > widestHidden) {
        // As trace() has it: both ends, and the range between them, for no one knows where it was.
        if (high !== low) bars.alone(0.5 * (xa + xb), high, low);
        bars.lift();
        bars.to(xb, end);
      } else {
        bars.cover(xb, high, low, end);
      }
    }
  }
  bars.lift();
}

/** The bar in the making, and where the line ended. */
class Bars {
  private at = NaN;
  private end = NaN;
  private top = 0;
  private bottom = 0;
  private last = NaN;

  constructor(
    private readonly fill: Filler,
    private readonly left: number,
    private readonly right: number,
    private readonly how: Columns,
  ) {}

  private snap(px: number): number {
    const { grain } = this.how;
    return Math.floor(px / grain) * grain;
  }

  private bar(left: number, width: number, top: number, bottom: number): void {
    const { thick } = this.how;
    const grow = Math.max(0, 0.5 * (thick - (bottom - top)));
    this.fill(left, Math.round(top - grow), width, Math.round(Math.max(thick, bottom - top)));
  }

  private flush(): void {
    if (!Number.isNaN(this.at)) this.bar(this.at, this.end - this.at + this.how.grain, this.top, this.bottom);
    this.at = NaN;
  }

  /** The line ends here. */
  lift(): void {
    this.flush();
    this.last = NaN;
    this.end = NaN;
  }

  /** A range that is joined to nothing. */
  alone(px: number, high: number, low: number): void {
    this.lift();
    this.to(px, high);
    this.cover(px, high, low, low);
  }

  /** A reading: joined to the one before. */
  to(px: number, y: number): void {
    const column = this.snap(px);
    if (!Number.isNaN(this.last) && column > this.end) this.join(column, y);
    const joined = Number.isNaN(this.last) ? y : this.last;
    if (!Number.isNaN(this.at) && this.at === column && this.end === column) {
      this.top = Math.min(this.top, y);
      this.bottom = Math.max(this.bottom, y);
      return;
    }
    this.flush();
    this.at = this.end = column;
    this.top = Math.min(y, joined);
    this.bottom = Math.max(y, joined);
  }

  /** From where the line ended up to a column: bars in between, and `last` is where it comes in. */
  private join(column: number, y: number): void {
    const { grain, step } = this.how;
    const start = this.end;
    if (column - start <= grain) return;
    this.flush();
    if (step) {
      const a = Math.max(start + grain, this.snap(this.left) - grain);
      const b = Math.min(column, this.snap(this.right) + grain);
      if (b > a) this.bar(a, b - a, this.last, this.last);
      return;
    }
    const slope = (y - this.last) / (column - start);
    const before = this.last;
    const a = Math.max(start + grain, this.snap(this.left) - grain);
    const b = Math.min(column, this.snap(this.right) + grain);
    // A steep piece is as thick sideways.
    const width = Math.max(grain, this.how.thick);
    for (let at = a; at < b; at += grain) {
      const ya = before + slope * (at - grain - start);
      const yb = before + slope * (at - start);
      this.bar(at, width, Math.min(ya, yb), Math.max(ya, yb));
    }
    this.last = before + slope * (column - grain - start);
  }

  /** The rest of a bucket: its range up to its last reading. */
  cover(px: number, high: number, low: number, last: number): void {
    this.end = Math.max(this.end, this.snap(px));
    this.top = Math.min(this.top, high);
    this.bottom = Math.max(this.bottom, low);
    this.last = last;
  }
}
