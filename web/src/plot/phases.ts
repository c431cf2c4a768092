import { colour } from "../part/theme.ts";
import type { Phase } from "../api/types.ts";

export const phaseNames = [
  "off", "starting", "heating", "cooling", "mixed", "defrost", "recovering", "unknown",
] as const;

const fills = new Map<string, CanvasPattern | string>();
let fillsOf = "";

/** Each phase has a colour and, where two could be taken for each other, a hatching. */
function fillOf(context: CanvasRenderingContext2D, phase: string): CanvasPattern | string {
  const theme = document.documentElement.dataset["theme"] ?? "";
  if (theme !== fillsOf) {
    fills.clear();
    fillsOf = theme;
  }
  const known = fills.get(phase);
  if (known !== undefined) return known;
  const ground = colour(`phase-${phase}`) || colour("panel");
  const hatch = phase === "defrost" ? 1 : phase === "recovering" ? 2 : phase === "unknown" ? 3 : 0;
  let made: CanvasPattern | string = ground;
  if (hatch > 0) {
    const tile = document.createElement("canvas");
    tile.width = tile.height = 8;
    const c = tile.getContext("2d");
    if (c) {
      c.fillStyle = ground;
      c.fillRect(0, 0, 8, 8);
      c.strokeStyle = colour("phase-hatch");
      c.lineWidth = 1.5;
      c.beginPath();
      if (hatch === 1 || hatch === 3) {
        c.moveTo(-2, 10);
        c.lineTo(10, -2);
        c.moveTo(-2, 2);
        c.lineTo(2, -2);
        c.moveTo(6, 10);
        c.lineTo(10, 6);
      } else {
        c.moveTo(0, 4);
        c.lineTo(8, 4);
      }
      c.stroke();
      made = context.createPattern(tile, "repeat") ?? ground;
    }
  }
  fills.set(phase, made);
  return made;
}

/** Draws phases between two instants into a rectangle of the canvas. */
export function drawPhases(
  context: CanvasRenderingContext2D,
  phases: readonly Phase[],
  from: number,
  to: number,
  box: { left: number; top: number; width: number; height: number },
): void {
  // Whole pixels of the screen: their edges need no smoothing, and a season has more phases than the strip has pixels.
  const ratio = devicePixelRatio || 1;
  const scale = box.width / (to - from);
  const pixel = (ms: number) => Math.round((box.left + Math.min(box.width, Math.max(0, (ms - from) * scale))) * ratio);
  let drawnTo = -1;
  for (let i = firstAfter(phases, from); i < phases.length; ++i) {
    const phase = phases[i];
    if (!phase || phase.start_ms >= to) break;
    const a = Math.max(drawnTo, pixel(phase.start_ms));
    const b = Math.max(pixel(phase.end_ms), pixel(phase.start_ms) + 1);
    if (b <= a) continue;
    drawnTo = b;
    context.fillStyle = fillOf(context, phase.phase);
    context.fillRect(a / ratio, box.top, (b - a) / ratio, box.height);
  }
}

/** The first phase that ends after an instant; they stand in the order of time. */
function firstAfter(phases: readonly Phase[], ms: number): number {
  let low = 0;
  let high = phases.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((phases[middle]?.end_ms ?? Infinity) <= ms) low = middle + 1;
    else high = middle;
  }
  return low;
}

export function phaseAt(phases: readonly Phase[], ms: number): Phase | undefined {
  let low = 0;
  let high = phases.length - 1;
  while (low <= high) {
    const middle = (low + high) >> 1;
    const phase = phases[middle];
    if (!phase) return undefined;
    if (ms < phase.start_ms) high = middle - 1;
    else if (ms >= phase.end_ms && middle !== phases.length - 1) low = middle + 1;
    else if (ms > phase.end_ms) return undefined;
    else return phase;
  }
  return undefined;
}
