import type { ChannelInfo, Phases, Phase } from "../api/types.ts";
import { panned, zoomed, around, type Stretch } from "../base/stretch.ts";
import { hourText, instantText, type Clock } from "../base/time.ts";
import { unitOf, type UnitSystem } from "../base/units.ts";
import { cursor, span } from "../part/session.ts";
import { colour } from "../part/theme.ts";
import { contextOf, oncePerFrame, plotFont } from "./canvas.ts";
import { listenTo } from "./gestures.ts";
import { axisWidth, Lane, type Behind, type Shade } from "./lane.ts";
import { drawPhases } from "./phases.ts";
import { tilesOf, type Tiles } from "./tiles.ts";

export interface LaneGroup {
  dimension: string;
  channels: ChannelInfo[];
  /** Index of the first channel among all: its colour. */
  styles: number[];
}

export interface StageLook {
  recording: string;
  start: number;
  end: number;
  clock: Clock;
  phases: Phases;
  groups: readonly LaneGroup[];
  shades: readonly Shade[];
  system: UnitSystem;
  second: { recording: string; start: number; end: number; shift: number } | null;
}

const bandHeight = 15;
/** How long nothing must have moved before what is seen is drawn in full [ms]. */
const calm = 120;
/** While the picture moves: by so many levels coarser, a bucket on two to four pixels. */
const movingCoarser = 1;
/**
 * So much work in a frame that moves [ms of script; painting takes as much again]: what is not drawn by then has its turn in
 * the next one, so that a slow machine shows lanes one after the other instead of standing still. In a frame that
 * does not move one part is drawn in full.
 */
const frameWork = 3;

type Part = Lane | "band";
const right = 12;

/** Channels of one dimension together; states each apart, since their words differ. */
export function laneGroups(channels: readonly ChannelInfo[]): LaneGroup[] {
  const groups = new Map<string, LaneGroup>();
  channels.forEach((channel, i) => {
    const key = channel.dimension === "state" ? `state ${channel.name}` : channel.dimension;
    const group = groups.get(key) ?? { dimension: channel.dimension, channels: [], styles: [] };
    group.channels.push(channel);
    group.styles.push(i);
    groups.set(key, group);
  });
  return [...groups.values()];
}

function titleOf(group: LaneGroup, system: UnitSystem): string {
  const symbol = unitOf(group.dimension, system).symbol;
  const first = group.channels[0];
  const name = group.dimension === "state" && first ? `${first.place_label}, ${first.label}` : group.dimension.replaceAll("_", " ");
  return symbol === "" ? name : `${name} [${symbol}]`;
}

function laneHeight(group: LaneGroup, lanes: number, last: boolean): number {
  const times = last ? 30 : 0;
  if (group.dimension === "state") return Math.max(64, (group.channels[0]?.words?.length ?? 2) * 22) + times;
  return (lanes <= 1 ? 380 : lanes === 2 ? 240 : lanes === 3 ? 190 : 150) + times;
}

/** The time line itself: phases on top, lanes below, one cursor over all. Drawn outside of the component tree. */
export class Stage {
  private lanes: Lane[] = [];
  private readonly tiles: Tiles;
  private readonly behind: Behind | null;
  private readonly stops: (() => void)[] = [];
  private readonly band = document.createElement("canvas");
  private readonly hair = document.createElement("div");
  private readonly picked = document.createElement("div");
  private width = 0;
  private ended = false;
  /** What is still to be drawn, the oldest first; see draw(). */
  private readonly stale = new Set<Part>();
  private moving: ReturnType<typeof setTimeout> | undefined;
  private telling: ReturnType<typeof setTimeout> | undefined;
  private readonly ask: () => void;
  private readonly names: string[];
  /** Longest time that one redraw has taken, and how many there were: for the bench. */
  readonly spent = { longest: 0, draws: 0, total: 0 };

  constructor(
    private readonly root: HTMLElement,
    private readonly look: StageLook,
    private readonly onData: () => void,
  ) {
    this.ask = oncePerFrame(() => this.draw());
    const came = () => {
      this.again();
      this.tell();
    };
    this.tiles = tilesOf(look.recording, look.start, look.end);
    const s = look.second;
    this.behind = s ? { tiles: tilesOf(s.recording, s.start, s.end), shift: s.shift } : null;
    this.tiles.onCome = came;
    if (this.behind) this.behind.tiles.onCome = came;
    this.names = look.groups.flatMap((g) => g.channels.map((c) => c.name));
    this.band.className = "stage-band";
    this.hair.className = "stage-hair";
    this.picked.className = "stage-picked";
    this.picked.hidden = true;
    root.replaceChildren(this.band);
    this.stops.push(
      span.listen(() => this.move()),
      cursor.listen(() => this.placeHair()),
      listenTo(root, axisWidth, {
        pan: (share) => this.change((now) => panned(now, share, look.start, look.end)),
        zoom: (f, at) => this.change((now) => zoomed(now, f, at, look.start, look.end)),
        place: (at) => {
          const [a, b] = this.now();
          cursor.set(a + at * (b - a));
        },
        choose: (a, b, done) => this.choose(a, b, done),
      }),
    );
    const watch = new ResizeObserver(() => this.resize());
    watch.observe(root);
    this.stops.push(() => watch.disconnect());
    this.resize();
  }

  private now(): Stretch {
    return span.get() ?? [this.look.start, this.look.end];
  }

  private change(next: (now: Stretch) => Stretch): void {
    span.set(next(this.now()));
  }

  private choose(a: number, b: number, done: boolean): void {
    const inner = this.width - axisWidth - right;
    this.picked.hidden = done;
    this.picked.style.left = `${axisWidth + a * inner}px`;
    this.picked.style.width = `${(b - a) * inner}px`;
    if (!done || b - a < 0.005) return;
    const [from, to] = this.now();
    span.set([from + a * (to - from), from + b * (to - from)]);
  }

  private resize(): void {
    const width = Math.round(this.root.clientWidth);
    if (width < 80 || width === this.width) return;
    this.width = width;
    if (this.lanes.length === 0) this.build();
    else for (const lane of this.lanes) lane.resize(width);
    const [from, to] = this.now();
    for (const lane of this.lanes) lane.show(from, to, true, 0);
    this.drawBand(from, to);
    this.draw();
  }

  private build(): void {
    const { groups, shades, clock, system } = this.look;
    this.root.replaceChildren(this.band, this.hair, this.picked);
    this.lanes = groups.map((group, i) => {
      const names = new Set(group.channels.map((c) => c.name));
      const place = document.createElement("div");
      place.className = "stage-lane";
      place.dataset["lane"] = String(i);
      this.root.append(place);
      return new Lane(place, this.tiles, this.behind, {
        lines: group.channels.map((c, k) => ({
          channel: c.name,
          style: group.styles[k] ?? k,
          step: c.dimension === "state",
        })),
        shades: shades.filter((s) => names.has(s.channel)),
        unit: unitOf(group.dimension, system),
        title: titleOf(group, system),
        words: group.dimension === "state" ? (group.channels[0]?.words ?? null) : null,
        clock,
        height: laneHeight(group, groups.length, i === groups.length - 1),
        times: i === groups.length - 1,
      }, this.width);
    });
  }

  /** Everything is to be drawn once more. */
  private again(): void {
    for (const lane of this.lanes) this.stale.add(lane);
    this.stale.add("band");
    this.ask();
  }

  /** The stretch has changed: drawn coarser until nothing moves any more, then in full. */
  private move(): void {
    clearTimeout(this.moving);
    this.moving = setTimeout(() => {
      this.moving = undefined;
      this.again();
    }, calm);
    this.again();
  }

  /** Tables follow what has come, when nothing moves. */
  private tell(): void {
    this.telling ??= setTimeout(() => {
      this.telling = undefined;
      if (this.ended) return;
      if (this.moving === undefined) this.onData();
      else this.tell();
    }, calm);
  }

  private draw(): void {
    if (this.width === 0 || this.ended) return;
    const began = performance.now();
    const [from, to] = this.now();
    for (const part of this.stale) {
      this.stale.delete(part);
      if (part === "band") this.drawBand(from, to);
      else part.show(from, to, true, this.moving === undefined ? 0 : movingCoarser);
      if (this.moving === undefined || performance.now() - began > frameWork) break;
    }
    if (this.stale.size > 0) this.ask();
    this.placeHair();
    const level = this.lanes[0]?.level();
    if (level !== undefined) {
      const wanted = level + (this.moving === undefined ? 0 : movingCoarser);
      this.tiles.want(this.names, from, to, wanted);
      const shift = this.behind?.shift ?? 0;
      this.behind?.tiles.want(this.names, from - shift, to - shift, wanted);
    }
    const took = performance.now() - began;
    this.spent.longest = Math.max(this.spent.longest, took);
    this.spent.total += took;
    ++this.spent.draws;
  }

  private rows(): { label: string; phases: readonly Phase[] }[] {
    const { phases } = this.look;
    const modules = phases.modules.length > 1 ? phases.modules : [];
    return [
      { label: "system", phases: phases.system },
      ...modules.slice(0, 4).map((m) => ({ label: m.label.replace("outdoor ", ""), phases: m.phases })),
    ];
  }

  private drawBand(from: number, to: number): void {
    const rows = this.rows();
    const height = rows.length * (bandHeight + 3) + 4;
    this.band.style.height = `${height}px`;
    const c = contextOf(this.band, this.width, height);
    if (!c) return;
    c.font = plotFont;
    c.textBaseline = "middle";
    c.textAlign = "right";
    rows.forEach((row, i) => {
      const top = 2 + i * (bandHeight + 3);
      c.fillStyle = colour("soft");
      c.fillText(row.label, axisWidth - 6, top + bandHeight / 2);
      const box = { left: axisWidth, top, width: this.width - axisWidth - right, height: bandHeight };
      drawPhases(c, row.phases, from, to, box);
    });
  }

  private placeHair(): void {
    const at = cursor.get();
    const [from, to] = this.now();
    const share = at === null ? -1 : (at - from) / (to - from);
    this.hair.hidden = share < 0 || share > 1;
    this.hair.style.transform = `translateX(${axisWidth + share * (this.width - axisWidth - right)}px)`;
  }

  /** What a channel was at the cursor, of the recording or of the one behind it. */
  valueAt(channel: string, ms: number, second: boolean): { low: number; high: number; exact: boolean } | null {
    const level = this.lanes[0]?.level() ?? 0;
    if (!second) return this.tiles.at(channel, ms, level);
    return this.behind?.tiles.at(channel, ms - this.behind.shift, level) ?? null;
  }

  get error(): unknown {
    return this.tiles.error ?? this.behind?.tiles.error ?? null;
  }

  end(): void {
    this.ended = true;
    clearTimeout(this.moving);
    clearTimeout(this.telling);
    for (const stop of this.stops) stop();
    for (const lane of this.lanes) lane.end();
    this.root.replaceChildren();
  }
}

/** Around the cursor in a length that people name. */
export function lookAround(length: number, start: number, end: number): void {
  const [from, to] = span.get() ?? [start, end];
  const at = cursor.get();
  span.set(around(at !== null && at >= from && at <= to ? at : 0.5 * (from + to), length, start, end));
}

export function spanText([from, to]: Stretch, clock: Clock): string {
  const a = instantText(from, clock);
  const b = instantText(to, clock);
  return a.slice(0, 10) === b.slice(0, 10) ? `${a} to ${hourText(to, clock)}` : `${a} to ${b}`;
}
