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
  /** Red, green, blue, alpha in one word each, from the lowest byte up; colours multiplied by alpha, until data(). */
  private words = new Uint32Array(0);
  private bytes = new Uint8ClampedArray(new ArrayBuffer(0));
  /** The rows that anything was painted into, the last one not in it; none where top is not above bottom. */
  top = 0;
  bottom = 0;

  /** Empties it, and gives it a size in whole pixels. Allocates only where it grows. */
  begin(width: number, height: number): void {
    if (this.top < this.bottom) this.words.fill(0, this.top * this.width, this.bottom * this.width);
    if (width * height > this.words.length) {
      this.words = new Uint32Array(width * height);
      this.bytes = new Uint8ClampedArray(this.words.buffer);
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
    if (rest === 0) this.cover(a, b, first, end, over);
    else this.layOver(a, b, first, end, over, rest);
  }

  private cover(a: number, b: number, first: number, end: number, over: number): void {
    const { words, width } = this;
    for (let row = first * width; row < end * width; row += width) {
      for (let x = row + a; x < row + b; ++x) words[x] = over;
    }
  }

  /** Source over destination (Porter and Duff 1984), two of the four bytes at a time. */
  private layOver(a: number, b: number, first: number, end: number, over: number, rest: number): void {
    const { words, width } = this;
    for (let row = first * width; row < end * width; row += width) {
      for (let x = row + a; x < row + b; ++x) {
        const under = words[x] as number;
        words[x] = under === 0
          ? over
          : (((Math.imul(under & 0xff00ff, rest) >>> 8) & 0xff00ff) | (Math.imul((under >>> 8) & 0xff00ff, rest) & 0xff00ff00)) + over;
      }
    }
  }

  /** The picture as a canvas takes it: rows of red, green, blue, alpha, no longer multiplied. Nothing is painted after it. */
  data(): Uint8ClampedArray<ArrayBuffer> {
    for (let i = this.top * this.width; i < this.bottom * this.width; ++i) {
      const word = this.words[i] as number;
      const cover = word >>> 24;
      if (cover === 0 || cover === 255) continue;
      for (let k = 4 * i; k < 4 * i + 3; ++k) this.bytes[k] = (255 * (this.bytes[k] as number)) / cover;
    }
    return this.bytes.subarray(0, 4 * this.width * this.height);
  }
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
