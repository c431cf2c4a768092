import uPlot from "uplot";
import type { Clock } from "../base/time.ts";
import { timeTicks } from "../base/time.ts";
import { fixed, fromShown, toShown, type DisplayUnit } from "../base/units.ts";
import { colour, dashes, lineColour } from "../part/theme.ts";
import { plotFont } from "./canvas.ts";
import { painted, partsOf, type Pixels } from "./pixels.ts";
import { levelFor, type Piece, type Tiles } from "./tiles.ts";
import { cutDashes, fillColumns, strokesIn, trace } from "./trace.ts";

export interface Line {
  channel: string;
  /** Which colour and dash; lines of one lane differ. */
  style: number;
  step: boolean;
}

/** A stretch of evidence in a lane, and the limit that was held there [SI]. */
export interface Shade {
  channel: string;
  from: number;
  to: number;
  limit: number | null;
  /** "fault below 10.0 K" */
  text: string;
}

export interface LaneLook {
  lines: readonly Line[];
  shades: readonly Shade[];
  unit: DisplayUnit;
  words: readonly string[] | null;
  /** "temperature [°C]" */
  title: string;
  clock: Clock;
  height: number;
  /** Times below the lane; only the last one has them. */
  times: boolean;
}

/** A second recording behind the first: its tiles, and what is added to its times to lie over the first. */
export interface Behind {
  tiles: Tiles;
  shift: number;
}

export const axisWidth = 76;

/**
 * Lines of a lane with more pieces than this are drawn as columns: without a graphics card a browser takes some 7 us to stroke
 * one, and everything waits meanwhile.
 */
const mostStroked = 800;
/** More lines than this get columns twice as wide. */
const manyLines = 12;
const secondDash: readonly number[] = [2, 4];

/** Round values in the display unit for a range in SI. */
export function valueTicks(low: number, high: number, unit: DisplayUnit, most: number): [number, string][] {
  const a = toShown(low, unit);
  const b = toShown(high, unit);
  const rough = (b - a) / Math.max(1, most);
  if (!(rough > 0) || !Number.isFinite(rough)) return [];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough) ?? 10 * power;
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const out: [number, string][] = [];
  for (let v = Math.ceil(a / step - 1e-9) * step; v <= b + 1e-9 * step; v += step) {
    out.push([fromShown(v, unit), fixed(v, digits)]);
  }
  return out;
}

/** One picture of channels of one dimension: uPlot for scales and axes, our own strokes for min/max buckets. */
export class Lane {
  private plot: uPlot;
  private from = 0;
  private to = 1;
  private low = 0;
  private high = 1;
  private labels = new Map<number, string>();
  /** Levels by which what is drawn is coarser than the pixels: not 0 while the picture moves. */
  private coarser = 0;

  constructor(
    root: HTMLElement,
    private readonly tiles: Tiles,
    private readonly behind: Behind | null,
    private readonly look: LaneLook,
    width: number,
  ) {
    this.plot = new uPlot(this.options(width), this.data(), root);
  }

  private data(): uPlot.AlignedData {
    const ends = [this.from, this.to];
    const lines = [...this.look.lines, ...(this.behind ? this.look.lines : [])];
    return [ends, ...lines.map(() => [0, 0])] as uPlot.AlignedData;
  }

  /** uPlot keeps scales and axes; the lines are drawn over them (drawLines). */
  private series(): uPlot.Series[] {
    const one = (): uPlot.Series => ({ points: { show: false }, paths: () => null });
    return [{}, ...this.look.lines.map(one), ...(this.behind ? this.look.lines.map(one) : [])];
  }

  private options(width: number): uPlot.Options {
    const ink = colour("soft");
    const grid = { stroke: colour("grid"), width: 1 };
    return {
      width,
      height: this.look.height,
      pxAlign: 0,
      legend: { show: false },
      cursor: { show: false },
      select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      padding: [20, 12, 4, 0],
      scales: {
        x: { time: false, auto: false, range: () => [this.from, this.to] },
        y: { auto: false, range: () => [this.low, this.high] },
      },
      series: this.series(),
      axes: [
        {
          scale: "x",
          font: plotFont,
          stroke: ink,
          grid,
          ticks: grid,
          size: this.look.times ? 26 : 0,
          splits: () => this.timeSplits(width).map((t) => t.ms),
          values: () => this.timeSplits(width).map((t) => (this.look.times ? t.text : "")),
        },
        {
          scale: "y",
          font: plotFont,
          stroke: ink,
          grid,
          ticks: { ...grid, size: 5 },
          size: axisWidth,
          splits: () => this.valueSplits(),
          values: (_u, at) => at.map((v) => this.labels.get(v) ?? ""),
        },
      ],
      hooks: {
        drawClear: [(u) => this.drawShades(u)],
        draw: [(u) => this.drawLines(u), (u) => this.drawLimits(u)],
      },
    };
  }

  private timeSplits(width: number): { ms: number; text: string }[] {
    return timeTicks(this.from, this.to, Math.max(2, (width - axisWidth) / 90), this.look.clock);
  }

  private valueSplits(): number[] {
    this.labels.clear();
    if (this.look.words) {
      this.look.words.forEach((word, i) => this.labels.set(i, word));
    } else {
      const most = Math.max(2, this.look.height / 38);
      for (const [v, text] of valueTicks(this.low, this.high, this.look.unit, most)) this.labels.set(v, text);
    }
    return [...this.labels.keys()].filter((v) => v >= this.low && v <= this.high);
  }

  private pieces(line: Line, second: boolean, level: number): Piece[] {
    if (!second) return this.tiles.pieces(line.channel, this.from, this.to, level, this.coarser);
    const shift = this.behind?.shift ?? 0;
    return this.behind?.tiles.pieces(line.channel, this.from - shift, this.to - shift, level, this.coarser) ?? [];
  }

  private drawLines(u: uPlot): void {
    const c = u.ctx;
    const { left, top, width, height } = u.bbox;
    c.save();
    c.beginPath();
    c.rect(left, top, width, height);
    c.clip();
    const lines = [...this.look.lines.map((line) => [line, false] as const), ...(this.behind ? this.look.lines.map((line) => [line, true] as const) : [])];
    if (this.coarser === 0 && this.strokes() <= mostStroked) {
      for (const [line, second] of lines) this.strokeLine(u, line, second);
    } else {
      painted(c, u.bbox, (bar) => {
        for (const [line, second] of lines) this.fillLine(u, line, second, bar);
      });
    }
    c.restore();
  }

  private strokes(): number {
    const level = this.level();
    const shift = this.behind?.shift ?? 0;
    let count = 0;
    for (const line of this.look.lines) {
      count += strokesIn(this.pieces(line, false, level), this.from, this.to);
      if (this.behind) count += strokesIn(this.pieces(line, true, level), this.from - shift, this.to - shift);
    }
    return count;
  }

  /** What both ways of drawing a line need: its pieces, and where they stand [pixels of the canvas]. */
  private placed(u: uPlot, line: Line, second: boolean) {
    const { left, top, width, height } = u.bbox;
    const shift = second ? (this.behind?.shift ?? 0) : 0;
    const kx = width / (this.to - this.from);
    const ky = height / (this.high - this.low);
    const ratio = devicePixelRatio || 1;
    return {
      pieces: this.pieces(line, second, this.level()),
      from: this.from - shift,
      to: this.to - shift,
      x: (ms: number) => left + (ms + shift - this.from) * kx,
      y: (v: number) => top + (this.high - v) * ky,
      thick: (second ? 1 : 2) * ratio,
      dash: (second ? secondDash : (dashes[line.style % dashes.length] ?? [])).map((d) => d * ratio),
      alpha: second ? 0.75 : 1,
    };
  }

  private fillLine(u: uPlot, line: Line, second: boolean, bar: Pixels["bar"]): void {
    const { pieces, from, to, x, y, thick, dash, alpha } = this.placed(u, line, second);
    const ink = partsOf(lineColour(line.style));
    fillColumns((l, t, w, h) => {
      // Where a dashed line has its gaps it is pale, not absent: a peak must be seen there, too.
      cutDashes(dash, u.bbox.left, l, w, (at, wide, gap) => bar(at, t, wide, h, ink, gap ? 0.4 * alpha : alpha));
    }, pieces, from, to, x, y, { thick: Math.round(thick), grain: this.grain(), step: line.step });
  }

  private strokeLine(u: uPlot, line: Line, second: boolean): void {
    const c = u.ctx;
    const { pieces, from, to, x, y, thick, dash, alpha } = this.placed(u, line, second);
    c.strokeStyle = lineColour(line.style);
    c.globalAlpha = alpha;
    c.lineWidth = thick;
    c.lineJoin = "bevel";
    c.setLineDash(dash);
    c.beginPath();
    trace(c, pieces, from, to, x, y, line.step);
    c.stroke();
    c.setLineDash([]);
    c.globalAlpha = 1;
  }

  /** Width of the columns: a pixel of the page, more while the picture moves and where there are many lines. */
  private grain(): number {
    const lines = this.look.lines.length * (this.behind ? 2 : 1);
    return Math.max(1, Math.round(devicePixelRatio || 1)) * (this.coarser + 1) * (lines > manyLines ? 2 : 1);
  }

  /** One bucket for about each pixel of the screen. */
  level(): number {
    return levelFor(this.to - this.from, Math.max(200, this.plot.bbox.width));
  }

  private drawShades(u: uPlot): void {
    const c = u.ctx;
    const { left, top, width, height } = u.bbox;
    c.save();
    c.fillStyle = colour("shade");
    for (const shade of this.look.shades) {
      const a = Math.max(left, left + ((shade.from - this.from) / (this.to - this.from)) * width);
      const b = Math.min(left + width, left + ((shade.to - this.from) / (this.to - this.from)) * width);
      if (b > a) c.fillRect(a, top, Math.max(b - a, 2), height);
    }
    c.restore();
  }

  private drawLimits(u: uPlot): void {
    const c = u.ctx;
    const { left, top, width, height } = u.bbox;
    const ratio = devicePixelRatio || 1;
    c.save();
    c.font = `${Math.round(12 * ratio)}px system-ui, "Liberation Sans", sans-serif`;
    c.textBaseline = "bottom";
    c.fillStyle = colour("soft");
    c.textAlign = "left";
    c.textBaseline = "top";
    c.fillText(this.look.title, left + 2 * ratio, top - 17 * ratio);
    c.textBaseline = "bottom";
    const told = new Set<string>();
    for (const shade of this.look.shades) {
      if (shade.limit === null || told.has(shade.text)) continue;
      told.add(shade.text);
      const y = top + ((this.high - shade.limit) / (this.high - this.low)) * height;
      if (y < top || y > top + height) continue;
      c.strokeStyle = colour("fault");
      c.fillStyle = colour("fault");
      c.lineWidth = 1.5 * ratio;
      c.setLineDash([8 * ratio, 5 * ratio]);
      c.beginPath();
      c.moveTo(left, y);
      c.lineTo(left + width, y);
      c.stroke();
      c.fillText(shade.text, left + 6 * ratio, y - 2 * ratio);
    }
    c.restore();
  }

  /** The range of values in sight, with room, limits taken in; calm against small changes. */
  private fitValues(): void {
    if (this.look.words) {
      this.low = -0.4;
      this.high = this.look.words.length - 0.6;
      return;
    }
    let low = Infinity;
    let high = -Infinity;
    const level = this.level();
    for (const line of this.look.lines) {
      const r = this.tiles.range(line.channel, this.from, this.to, level, this.coarser);
      const shift = this.behind?.shift ?? 0;
      const s = this.behind?.tiles.range(line.channel, this.from - shift, this.to - shift, level, this.coarser) ?? null;
      for (const one of [r, s]) {
        if (!one) continue;
        low = Math.min(low, one[0]);
        high = Math.max(high, one[1]);
      }
    }
    for (const shade of this.look.shades) {
      if (shade.limit === null || shade.to < this.from || shade.from > this.to) continue;
      low = Math.min(low, shade.limit);
      high = Math.max(high, shade.limit);
    }
    if (!(low <= high)) return;
    const least = Math.abs(this.look.unit.scale) * 10 ** -Math.max(0, this.look.unit.digits - 1);
    const room = Math.max(0.06 * (high - low), 0.5 * least);
    this.low = low - room;
    this.high = high + room;
  }

  /** Draws a stretch of time; `fresh`: also where it is the one that was drawn last. `coarser`: by so many levels. */
  show(from: number, to: number, fresh: boolean, coarser: number): void {
    this.from = from;
    this.to = to;
    this.coarser = coarser;
    this.fitValues();
    this.plot.batch(() => {
      if (fresh) this.plot.setData(this.data(), false);
      this.plot.setScale("x", { min: from, max: to });
      this.plot.setScale("y", { min: this.low, max: this.high });
    });
  }

  resize(width: number): void {
    this.plot.setSize({ width, height: this.look.height });
  }

  end(): void {
    this.plot.destroy();
  }
}
