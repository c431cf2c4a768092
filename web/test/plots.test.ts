import assert from "node:assert/strict";
import { test } from "node:test";
import { parseSeries } from "../src/api/series.ts";
import { inside, panned, zoomed } from "../src/base/stretch.ts";
import { deviationColour } from "../src/plot/heat.ts";
import { partsOf, Pixels } from "../src/plot/pixels.ts";
import { bucketWidth, indices, levelFor, tileBuckets, tileLength, type Piece } from "../src/plot/tiles.ts";
import { cutDashes, fillColumns, strokesIn, trace } from "../src/plot/trace.ts";

/** The bytes of docs/design/workbench.md for one channel, written by hand. */
function bytes(points: number, channels: number): ArrayBuffer {
  const each = 32 * points + Math.ceil(points / 8) * 8;
  const buffer = new ArrayBuffer(32 + channels * each);
  const view = new DataView(buffer);
  [..."CWS1"].forEach((c, i) => view.setUint8(i, c.charCodeAt(0)));
  view.setUint32(4, points, true);
  view.setUint32(8, channels, true);
  view.setFloat64(16, 1000, true);
  view.setFloat64(24, 4000, true);
  return buffer;
}

test("series bytes are read where the contract puts them, flags padded to eight", () => {
  const buffer = bytes(3, 2);
  const view = new DataView(buffer);
  const second = 32 + 3 * 32 + 8;
  view.setFloat64(second + 8, 2222, true); // first time of bucket 1
  view.setFloat32(second + 3 * 16 + 8, 7.5, true); // lowest of bucket 2
  view.setUint8(second + 3 * 32 + 2, 4); // flags of bucket 2
  const block = parseSeries(buffer);
  assert.equal(block.points, 3);
  assert.equal(block.from, 1000);
  assert.equal(block.to, 4000);
  assert.equal(block.channels[1]?.firstTime[1], 2222);
  assert.equal(block.channels[1]?.lowest[2], 7.5);
  assert.equal(block.channels[1]?.flags[2], 4);
  assert.equal(block.channels[0]?.flags[2], 0);
});

test("bytes of another form are refused", () => {
  assert.throws(() => parseSeries(new ArrayBuffer(64)), /not in the form/);
  assert.throws(() => parseSeries(new ArrayBuffer(8)), /not in the form/);
});

test("a level has at most the buckets that were asked for, and not less than half", () => {
  for (const length of [3.6e6, 8.64e7, 1.5e10]) {
    const level = levelFor(length, 1200);
    const buckets = length / bucketWidth(level);
    assert.ok(buckets <= 1200 && buckets > 600, `${length} ms gave ${buckets} buckets`);
  }
  assert.equal(levelFor(1000, 1200), 0);
});

function piece(values: (number | null)[], width: number, flags: number[] = []): Piece {
  const n = tileBuckets;
  const buckets = {
    firstTime: new Float64Array(n), lastTime: new Float64Array(n),
    lowest: new Float32Array(n), highest: new Float32Array(n),
    first: new Float32Array(n), last: new Float32Array(n), flags: new Uint8Array(n).fill(1),
  };
  values.forEach((v, i) => {
    if (v === null) return;
    buckets.flags[i] = flags[i] ?? 0;
    buckets.firstTime[i] = buckets.lastTime[i] = i * width + width / 2;
    for (const a of [buckets.lowest, buckets.highest, buckets.first, buckets.last]) a[i] = v;
  });
  return { buckets, from: 0, width, clipFrom: 0, clipTo: n * width };
}

function penned(run: (pen: { moveTo(x: number, y: number): void; lineTo(x: number, y: number): void }) => void): string[] {
  const out: string[] = [];
  run({ moveTo: (x, y) => out.push(`M${x},${y}`), lineTo: (x, y) => out.push(`L${x},${y}`) });
  return out;
}

test("an empty bucket is crossed, a gap lifts the pen", () => {
  const p = piece([1, null, 3, 4], 10, [2, 0, 0, 2]);
  const drawn = penned((pen) => trace(pen, [p], 0, 40, (t) => t, (v) => v, false));
  assert.deepEqual(drawn, ["M5,1", "L6,1", "M5,1", "L25,3", "M35,4", "L36,4", "M35,4"]);
});

test("states hold until they change", () => {
  const p = piece([0, 1], 10, [2, 0]);
  const drawn = penned((pen) => trace(pen, [p], 0, 20, (t) => t, (v) => v, true));
  assert.deepEqual(drawn.slice(-2), ["L15,0", "L15,1"]);
});

test("pieces are cut at their clip", () => {
  const p: Piece = { ...piece([1, 2, 3, 4], 10), clipFrom: 10, clipTo: 30 };
  assert.deepEqual(indices(p, 0, 1000), [1, 2]);
  assert.equal(tileLength(0), tileBuckets * bucketWidth(0));
});

test("panning and zooming stay inside the recording and keep what is under the finger", () => {
  assert.deepEqual(panned([0, 100], -0.5, 0, 1000), [0, 100]);
  assert.deepEqual(panned([900, 1000], 0.5, 0, 1000), [900, 1000]);
  const start = 0;
  const end = 1e9;
  const [a, b] = zoomed([2e8, 4e8], 0.5, 0.25, start, end);
  assert.equal(b - a, 1e8);
  assert.equal(a + 0.25 * (b - a), 2.5e8);
  assert.deepEqual(zoomed([2e8, 4e8], 1e6, 0.5, start, end), [start, end]);
  assert.deepEqual(inside([-50, 50], 0, 1000), [0, 100]);
});

test("too cold and too warm part in brightness-independent hue, the middle is pale", () => {
  assert.equal(deviationColour(-99), deviationColour(-5));
  assert.equal(deviationColour(99), deviationColour(5));
  const rgb = (k: number) => deviationColour(k).match(/\d+/g)?.map(Number) ?? [];
  const [rc = 0, , bc = 0] = rgb(-2.5);
  const [rw = 0, , bw = 0] = rgb(2.5);
  assert.ok(bc > rc && rw > bw);
  assert.ok(Math.min(...rgb(0)) > 200);
});

test("columns show every value of every bucket, join their neighbours, and leave gaps open", () => {
  let seed = 3;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const values = Array.from({ length: 400 }, (_, i) => (i % 97 === 50 ? null : 20 + 15 * Math.sin(i / 20) + 6 * random()));
  const flags = values.map((_, i) => (i % 97 === 51 ? 2 : 0));
  const one = piece(values, 1000, flags);
  // Two and a half buckets a pixel; 40 pixels are 100 degrees.
  const x = (ms: number) => ms / 2500;
  const y = (v: number) => 200 - 4 * v;
  const bars: [number, number, number, number][] = [];
  fillColumns((...bar) => bars.push(bar), [one], 0, 400_000, x, y, { thick: 2, grain: 1, step: false });
  values.forEach((v, i) => {
    if (v === null) return;
    const at = Math.floor(x(i * 1000 + 500));
    const seen = bars.some(([l, t, w, h]) => at >= l && at < l + w && y(v) >= t - 1 && y(v) <= t + h + 1);
    assert.ok(seen, `value ${v} of bucket ${i} is drawn`);
  });
  assert.ok(bars.length <= 161, "one bar a pixel column at most");
  for (const [left, , width, height] of bars) assert.ok(Number.isInteger(left) && Number.isInteger(width) && height >= 2);
  assert.equal(strokesIn([one], 0, 400_000 - 1), values.filter((v) => v !== null).length);
  // A gap of the length of some columns stays empty.
  const open = piece([1, 1, ...Array<null>(40).fill(null), 1, 1], 1000, [...Array<number>(42).fill(0), 2]);
  const around: number[] = [];
  fillColumns((l, _t, w) => around.push(l, l + w), [open], 0, 400_000, (ms) => ms / 1000, y, { thick: 2, grain: 1, step: false });
  assert.ok(!around.some((e) => e > 3 && e < 42), `nothing in the gap: ${around.join(" ")}`);
});

test("readings far apart are joined by one bar a column, a state holds until it changes, and nothing is drawn far outside", () => {
  // A reading every 20 pixels; the second is 40 higher.
  const values = [10, 20, 10, 10];
  const one = piece(values, 20_000, [0, 0, 0, 0]);
  const draw = (from: number, to: number, grain: number, step: boolean) => {
    const bars: [number, number, number, number][] = [];
    fillColumns((...bar) => bars.push(bar), [one], from, to, (ms) => ms / 1000, (v) => 100 - 4 * v, { thick: 2, grain, step });
    return bars;
  };
  for (const grain of [1, 2]) {
    const bars = draw(0, 80_000, grain, false);
    const spans = bars.map(([l, , w]) => [l, l + w] as const).sort((a, b) => a[0] - b[0]);
    spans.forEach(([l, r], i) => i > 0 && assert.ok(l <= (spans[i - 1]?.[1] ?? 0), `no hole at ${l} to ${r}`));
    assert.ok(bars.every(([, , , h]) => h <= 2 + 3 * grain), "a slope and no blocks");
    assert.ok(bars.length <= 62 / grain, `${bars.length} bars of ${grain}`);
  }
  const steps = draw(0, 80_000, 1, true);
  assert.ok(steps.length <= 8, "a state is one bar from change to change");
  assert.ok(steps.some(([, t, w, h]) => w > 15 && h === 2 && t === 59), "it holds at its value");
  const near = draw(30_000, 31_000, 1, false);
  assert.ok(near.length <= 8, `what lies outside is not drawn column by column: ${near.length}`);
});

test("a bucket with a hole in it is no block over the hole, where that can be seen", () => {
  // Two readings at the ends of one bucket, a gap between them; 1 and 5, the range between.
  const one = piece([1], 1000, [4 | 2]);
  one.buckets.firstTime[0] = 100;
  one.buckets.lastTime[0] = 900;
  one.buckets.highest[0] = one.buckets.last[0] = 5;
  const draw = (kx: number, low: number) => {
    one.buckets.lowest[0] = one.buckets.first[0] = low;
    const bars: [number, number, number, number][] = [];
    fillColumns((...bar) => bars.push(bar), [one], 0, 1000, (ms) => ms * kx, (v) => 100 - 10 * v, { thick: 2, grain: 1, step: false });
    return bars;
  };
  assert.deepEqual(draw(0.1, 1).map(([l, , w]) => [l, w]), [[10, 1], [50, 1], [90, 1]], "ends and middle");
  assert.deepEqual(draw(0.1, 1)[1]?.slice(1), [50, 1, 40], "the middle shows the range");
  assert.deepEqual(draw(0.1, 5).map(([l]) => l), [10, 90], "without a range both ends");
  assert.deepEqual(draw(0.007, 1).map(([l, , w]) => [l, w]), [[0, 7]], "a hole of five pixels is not shown");
});

test("bars of a dashed line are cut where its gaps begin and end", () => {
  const cut = (dash: number[], left: number, width: number) => {
    const out: [number, number, boolean][] = [];
    cutDashes(dash, 100, left, width, (...p) => out.push(p));
    return out;
  };
  assert.deepEqual(cut([], 100, 50), [[100, 50, false]]);
  assert.deepEqual(cut([6, 4], 100, 25), [[100, 6, false], [106, 4, true], [110, 6, false], [116, 4, true], [120, 5, false]]);
  assert.deepEqual(cut([6, 4], 107, 1), [[107, 1, true]]);
  assert.deepEqual(cut([6, 4], 95, 8), [[95, 1, false], [96, 4, true], [100, 3, false]], "left of where the pattern begins");
  for (const [l, w] of [[3, 77], [111, 13]] as const) {
    const parts = cut([7.5, 3.75], l, w);
    assert.equal(parts.reduce((a, p) => a + p[1], 0), w, "nothing lost of a pattern of broken pixels");
    assert.ok(parts.every((p) => Number.isInteger(p[0]) && p[1] >= 1));
  }
});

test("bars in memory are those that a canvas would show: cut at the edges, pale ones laid over, emptied for the next picture", () => {
  const board = new Pixels();
  let data: Uint8ClampedArray;
  const at = (x: number, y: number) => [...data.subarray(4 * (y * board.width + x), 4 * (y * board.width + x) + 4)];
  const [red, blue] = [partsOf("#f00"), partsOf("#0000ff")];
  assert.deepEqual(red, [255, 0, 0]);
  assert.deepEqual(blue, [0, 0, 255]);
  board.begin(4, 5);
  board.bar(-2, 1, 4, 2, red, 1);
  board.bar(1, -3, 9, 5, blue, 0.4);
  board.bar(2, 0, 1, 1, blue, 0.4);
  data = board.data();
  assert.deepEqual([board.top, board.bottom], [0, 3]);
  assert.deepEqual(at(0, 1), [255, 0, 0, 255]);
  assert.deepEqual(at(0, 0), [0, 0, 0, 0]);
  assert.deepEqual(at(3, 0), [0, 0, 255, 102]);
  // Porter and Duff 1984, over: 0.4 of blue on whole red.
  assert.deepEqual(at(1, 1), [153, 0, 102, 255]);
  // Pale on pale: alpha 1 - 0.6 x 0.6.
  assert.deepEqual(at(2, 0), [0, 0, 255, 163]);
  assert.deepEqual(at(2, 2), [0, 0, 0, 0]);
  board.begin(3, 3);
  assert.ok(board.top >= board.bottom);
  board.bar(0, 0, 1, 3, red, 1);
  data = board.data();
  assert.equal(data.length, 36);
  assert.deepEqual([...data], [0, 1, 2].flatMap(() => [255, 0, 0, 255, 0, 0, 0, 0, 0, 0, 0, 0]), "nothing of the picture before");
  board.begin(3, 3);
  assert.ok(board.top >= board.bottom);
  board.bar(5, 5, 2, 2, red, 1);
  assert.ok(board.top >= board.bottom, "outside");
});
