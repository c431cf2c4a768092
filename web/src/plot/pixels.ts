/** What canvas takes for a colour of the sheets: "#rrggbb" or "#rgb". @returns red, green, blue; black where it is neither */
export function partsOf(colour: string): [number, number, number] {
  const short = /^#([\da-f])([\da-f])([\da-f])$/i.exec(colour);
  const long = /^#([\da-f]{2})([\da-f]{2})([\da-f]{2})$/i.exec(colour);
  const found = short ? short.slice(1).map((d) => d + d) : (long?.slice(1) ?? ["0", "0", "0"]);
  return found.map((d) => parseInt(d, 16)) as [number, number, number];
}

/**
 * Upright bars painted into memory, to be laid over a canvas as one picture. A browser without a graphics card replays
 * every rectangle that a canvas was asked for, on the thread that everything waits for, at the end of the frame; some
 * thousand of them cost more than writing their pixels here and one copy.
 */
export class Pixels {
  width = 0;
  height = 0;
  /**
   * Red, green, blue, alpha in one word each, from the lowest byte up; colours multiplied by alpha. Column by column, since bars are
   * upright: what lies together is written together.
   */
  private words = new Uint32Array(0);
  /** The same row by row, not multiplied: what data() gives. */
  private rows = new Uint32Array(new ArrayBuffer(0));
  /** The rows that anything was painted into, the last one not in it; none where top is not above bottom. */
  top = 0;
  bottom = 0;

  /** Empties it, and gives it a size in whole pixels. Allocates only where it grows. */
  begin(width: number, height: number): void {
    this.words.fill(0, 0, this.width * this.height);
    if (width * height > this.words.length) {
      this.words = new Uint32Array(width * height);
      this.rows = new Uint32Array(new ArrayBuffer(4 * width * height));
    }
    this.width = width;
    this.height = height;
    this.top = height;
    this.bottom = 0;
  }

  /** Fills a bar over what is there, cut at the edges. Whole pixels; alpha 0 to 1. */
  bar(left: number, top: number, width: number, height: number, colour: readonly [number, number, number], alpha: number): void {
    const a = Math.max(0, left);
    const b = Math.min(this.width, left + width);
    const first = Math.max(0, top);
    const end = Math.min(this.height, top + height);
    if (a >= b || first >= end) return;
    this.top = Math.min(this.top, first);
    this.bottom = Math.max(this.bottom, end);
    const cover = Math.round(255 * alpha);
    const part = (k: 0 | 1 | 2) => Math.round((colour[k] * cover) / 255);
    const over = ((cover << 24) | (part(2) << 16) | (part(1) << 8) | part(0)) >>> 0;
    // Of 256; rounded up, so that what is over something whole is whole.
    const rest = Math.ceil((256 * (255 - cover)) / 255);
    for (let x = a; x < b; ++x) {
      const column = x * this.height;
      if (rest === 0) this.words.fill(over, column + first, column + end);
      else this.layOver(column + first, column + end, over, rest);
    }
  }

  /** Source over destination (Porter and Duff 1984), two of the four bytes at a time. */
  private layOver(from: number, to: number, over: number, rest: number): void {
    const { words } = this;
    for (let i = from; i < to; ++i) {
      const under = words[i] as number;
      words[i] = under === 0
        ? over
        : (((Math.imul(under & 0xff00ff, rest) >>> 8) & 0xff00ff) | (Math.imul((under >>> 8) & 0xff00ff, rest) & 0xff00ff00)) + over;
    }
  }

  /**
   * The picture as a canvas takes it: rows of red, green, blue, alpha, no longer multiplied. Only rows from `top` to `bottom` are
   * those of this picture.
   */
  data(): Uint8ClampedArray<ArrayBuffer> {
    const { words, rows, width, height, bottom } = this;
    // In small squares, so that neither side jumps through memory for long.
    for (let y0 = this.top; y0 < bottom; y0 += square) {
      for (let x0 = 0; x0 < width; x0 += square) {
        const yEnd = Math.min(bottom, y0 + square);
        const xEnd = Math.min(width, x0 + square);
        for (let x = x0; x < xEnd; ++x) {
          for (let y = y0; y < yEnd; ++y) {
            const word = words[x * height + y] as number;
            rows[y * width + x] = word === 0 || word >>> 24 === 255 ? word : bare(word);
          }
        }
      }
    }
    return new Uint8ClampedArray(rows.buffer as ArrayBuffer, 0, 4 * width * height);
  }
}

const square = 16;

/** A colour that its alpha is no longer multiplied into. */
function bare(word: number): number {
  const cover = word >>> 24;
  const part = (byte: number) => Math.min(255, Math.round((255 * byte) / cover));
  return ((cover << 24) | (part((word >>> 16) & 255) << 16) | (part((word >>> 8) & 255) << 8) | part(word & 255)) >>> 0;
}

const board = new Pixels();
/**
 * Taken in turn: until a frame is handed on, the picture that a canvas was given of a sheet is kept, and writing to that sheet
 * again would copy it first.
 */
const sheets: (CanvasRenderingContext2D | null)[] = [null, null, null];
let turn = 0;

/** Kept in memory, where it is written: not on a graphics card, from which nothing has to come back. */
function nextSheet(width: number, height: number): CanvasRenderingContext2D | null {
  turn = (turn + 1) % sheets.length;
  const sheet = (sheets[turn] ??= document.createElement("canvas").getContext("2d", { willReadFrequently: true }));
  if (sheet && sheet.canvas.width < width) sheet.canvas.width = width;
  if (sheet && sheet.canvas.height < height) sheet.canvas.height = height;
  return sheet;
}

/** Paints bars with `fill` and lays them over a canvas. The rectangle in pixels of the canvas; bars in those, too. */
export function painted(
  canvas: CanvasRenderingContext2D,
  box: { left: number; top: number; width: number; height: number },
  fill: (bar: Pixels["bar"]) => void,
): void {
  const left = Math.floor(box.left);
  const top = Math.floor(box.top);
  const [width, height] = [Math.ceil(box.width), Math.ceil(box.height)];
  if (!(width > 0 && height > 0)) return;
  board.begin(width, height);
  fill((l, t, w, h, colour, alpha) => board.bar(l - left, t - top, w, h, colour, alpha));
  const rows = board.bottom - board.top;
  if (rows <= 0) return;
  const sheet = nextSheet(width, height);
  if (!sheet) return;
  sheet.putImageData(new ImageData(board.data(), width, height), 0, 0, 0, board.top, width, rows);
  canvas.drawImage(sheet.canvas, 0, board.top, width, rows, left, top + board.top, width, rows);
}
