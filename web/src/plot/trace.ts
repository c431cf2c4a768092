import { bucketEmpty, gapBefore, gapInside } from "../api/series.ts";
import { indices, type Piece } from "./tiles.ts";

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
          if (flag & gapInside && xb - xa > 6) pen.moveTo(middle, y(low));
          else pen.lineTo(middle, y(low));
          pen.lineTo(middle, y(high));
        }
        if (flag & gapInside && xb - xa > 6) pen.moveTo(xb, yb);
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

/** How many buckets with readings lie between two instants. */
export function readingsIn(pieces: readonly Piece[], from: number, to: number): number {
  let count = 0;
  for (const piece of pieces) {
    const { flags } = piece.buckets;
    const [i0, i1] = indices(piece, from, to);
    for (let i = i0; i <= i1; ++i) if (!((flags[i] ?? bucketEmpty) & bucketEmpty)) ++count;
  }
  return count;
}

/**
 * A line whose readings lie closer than pixels, as one upright bar a pixel column from its lowest to its highest value,
 * joined to the column before: no value is lost, and a browser that paints without a graphics card has nothing to join or
 * to dash. Columns whole pixels wide, at least `thick` high; nothing at gaps.
 */
export function fillColumns(
  fill: Filler,
  pieces: readonly Piece[],
  from: number,
  to: number,
  x: (ms: number) => number,
  y: (value: number) => number,
  thick: number,
): void {
  let at = NaN;
  let top = 0;
  let bottom = 0;
  let last = NaN;
  const end = (next: number) => {
    if (Number.isNaN(at)) return;
    const grow = Math.max(0, 0.5 * (thick - (bottom - top)));
    fill(at, Math.round(top - grow), Math.max(1, next - at), Math.round(Math.max(thick, bottom - top)));
  };
  for (const piece of pieces) {
    const { flags, lowest, highest, last: ends, firstTime } = piece.buckets;
    const [i0, i1] = indices(piece, from, to);
    for (let i = i0; i <= i1; ++i) {
      const flag = flags[i] ?? bucketEmpty;
      if (flag & bucketEmpty) continue;
      const column = Math.floor(x(firstTime[i] as number));
      const broken = (flag & gapBefore) !== 0;
      let high = y(highest[i] as number);
      let low = y(lowest[i] as number);
      if (!broken && !Number.isNaN(last)) {
        // From where the column before ended to where this one begins.
        high = Math.min(high, last);
        low = Math.max(low, last);
      }
      if (column === at) {
        top = Math.min(top, high);
        bottom = Math.max(bottom, low);
      } else {
        end(broken ? at + 1 : column);
        at = column;
        top = high;
        bottom = low;
      }
      last = y(ends[i] as number);
    }
  }
  end(at + 1);
}
