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
  private words = new Uint32Array(0);
  private bytes = new Uint8ClampedArray(new ArrayBuffer(0));
  /** The rows that anything was painted into, the last one not in it; none where top is not above bottom. */
  top = 0;
  bottom = 0;
  private readonly one = new Uint8ClampedArray(4);
  private readonly word = new Uint32Array(this.one.buffer);

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
    this.one[0] = colour[0];
    this.one[1] = colour[1];
    this.one[2] = colour[2];
    this.one[3] = Math.round(255 * alpha);
    const word = this.word[0] as number;
    const opaque = this.one[3] === 255;
    for (let y = first; y < end; ++y) {
      const row = y * this.width;
      for (let x = row + a; x < row + b; ++x) {
        if (opaque || this.words[x] === 0) this.words[x] = word;
        else this.blend(4 * x, colour, alpha);
      }
    }
  }

  /** Red, green, blue, alpha of each pixel, row by row, alpha not multiplied in. */
  data(): Uint8ClampedArray<ArrayBuffer> {
    return this.bytes.subarray(0, 4 * this.width * this.height);
  }

  /** Source over destination (Porter and Duff 1984), colours without their alpha. */
  private blend(at: number, colour: readonly [number, number, number], alpha: number): void {
    const under = (1 - alpha) * ((this.bytes[at + 3] as number) / 255);
    const over = alpha + under;
    for (let k = 0; k < 3; ++k) this.bytes[at + k] = ((colour[k] as number) * alpha + (this.bytes[at + k] as number) * under) / over;
    this.bytes[at + 3] = 255 * over;
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
