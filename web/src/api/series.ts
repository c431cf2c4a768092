/** One channel over equal pieces of time; see docs/design/workbench.md, "series". */
export interface Buckets {
  firstTime: Float64Array;
  lastTime: Float64Array;
  lowest: Float32Array;
  highest: Float32Array;
  first: Float32Array;
  last: Float32Array;
  flags: Uint8Array;
}

export const bucketEmpty = 1;
export const gapBefore = 2;
export const gapInside = 4;

export interface SeriesBlock {
  from: number;
  to: number;
  points: number;
  channels: Buckets[];
}

/** Reads the server's bytes without copying them. Throws on bytes that are no series: our own bug. */
export function parseSeries(buffer: ArrayBuffer): SeriesBlock {
  const view = new DataView(buffer);
  if (buffer.byteLength < 32 || view.getUint32(0, false) !== 0x43575331) {
    throw new Error("The bytes of the series are not in the form that this page knows.");
  }
  const points = view.getUint32(4, true);
  const count = view.getUint32(8, true);
  const channels: Buckets[] = [];
  let at = 32;
  for (let i = 0; i < count; ++i) {
    const f64 = () => {
      const a = new Float64Array(buffer, at, points);
      at += 8 * points;
      return a;
    };
    const f32 = () => {
      const a = new Float32Array(buffer, at, points);
      at += 4 * points;
      return a;
    };
    const firstTime = f64();
    const lastTime = f64();
    const lowest = f32();
    const highest = f32();
    const first = f32();
    const last = f32();
    const flags = new Uint8Array(buffer, at, points);
    at += points;
    at = Math.ceil(at / 8) * 8;
    channels.push({ firstTime, lastTime, lowest, highest, first, last, flags });
  }
  return { from: view.getFloat64(16, true), to: view.getFloat64(24, true), points, channels };
}

export function seriesPath(
  recording: string,
  channels: readonly string[],
  from: number,
  to: number,
  points: number,
): string {
  const query = channels.map((c) => `channel=${encodeURIComponent(c)}`).join("&");
  return `/api/recordings/${recording}/series?${query}&from=${from}&to=${to}&points=${points}`;
}
