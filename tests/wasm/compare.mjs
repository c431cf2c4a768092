// node compare.mjs MODULE.wasm NATIVE_NUMBERS.tsv
// Asks the WebAssembly module what the native program answered and compares bit for bit, with
// the distance in units in the last place where they differ.
import { readFileSync } from 'node:fs';
import { WASI } from 'node:wasi';

// The equations of state use exp and log of our own and come out the same bit for bit. Transport and
// moist air call the C library's, which may differ in the last bits from one system to another.
// Tables call neither.
const allowedUlp = { fluid: 4n, table: 0n, air: 4n, quantity: 0n };

const wasi = new WASI({ version: 'preview1' });
const module = await WebAssembly.compile(readFileSync(process.argv[2]));
const instance = await WebAssembly.instantiate(module, wasi.getImportObject());
wasi.initialize(instance);
const { memory, malloc, free, cw_fluid_state, cw_fluid_table, cw_air_state, cw_quantity, cw_error } =
  instance.exports;

function withText(text, use) {
  const bytes = new TextEncoder().encode(text + '\0');
  const at = malloc(bytes.length);
  new Uint8Array(memory.buffer, at, bytes.length).set(bytes);
  try { return use(at); } finally { free(at); }
}
function textAt(at) {
  const bytes = new Uint8Array(memory.buffer, at);
  return new TextDecoder().decode(bytes.subarray(0, bytes.indexOf(0)));
}
const view = new DataView(new ArrayBuffer(8));
function double(hex) { view.setBigUint64(0, BigInt('0x' + hex)); return view.getFloat64(0); }
function bits(value) { view.setFloat64(0, value); return view.getBigInt64(0); }
// Orders doubles as integers, so that neighbours differ by one.
function ordered(value) { const b = bits(value); return b < 0n ? -(b & 0x7fffffffffffffffn) : b; }
function ulp(a, b) {
  if (Number.isNaN(a) || Number.isNaN(b)) return Number.isNaN(a) && Number.isNaN(b) ? 0n : 1n << 62n;
  const d = ordered(a) - ordered(b);
  return d < 0n ? -d : d;
}

const out = malloc(13 * 8);
function call(kind, words) {
  switch (kind) {
    case 'fluid':
      return [withText(words[0], (name) =>
        cw_fluid_state(name, Number(words[1]), double(words[2]), double(words[3]), 0, out)), 4];
    case 'table':
      return [withText(words[0], (name) => cw_fluid_table(name, double(words[1]), double(words[2]), out)), 3];
    case 'air':
      return [cw_air_state(double(words[1]), double(words[2]), Number(words[0]), double(words[3]),
        out), 4];
    case 'quantity':
      return [withText(words[0], (text) =>
        withText(words[1], (dimension) => cw_quantity(text, dimension, 101325, out))), 2];
    default:
      throw new Error(`unknown line ${kind}`);
  }
}

const counts = {};
let failures = 0;
for (const line of readFileSync(process.argv[3], 'utf8').trimEnd().split('\n')) {
  const [kind, ...words] = line.split('\t');
  const [result, inputs] = call(kind, words);
  const count = (counts[kind] ??= { calls: 0, refused: 0, numbers: 0, same: 0, worst: 0n });
  count.calls += 1;
  if (result !== Number(words[inputs])) {
    console.error(`result ${result} (${textAt(cw_error())}) for ${line}`);
    failures += 1;
    continue;
  }
  if (result < 0) {
    count.refused += 1;
    if (textAt(cw_error()) === '') { console.error(`no reason for ${line}`); failures += 1; }
    continue;
  }
  const native = words.slice(inputs + 1).map(double);
  const wasm = new Float64Array(memory.buffer, out, native.length);
  native.forEach((value, i) => {
    const distance = ulp(value, wasm[i]);
    count.numbers += 1;
    if (distance === 0n) count.same += 1;
    if (distance > count.worst) count.worst = distance;
    if (distance > allowedUlp[kind]) {
      failures += 1;
      if (failures < 20) console.error(`number ${i}: ${value} and ${wasm[i]} (${distance} ulp) for ${line}`);
    }
  });
}
for (const [kind, c] of Object.entries(counts)) {
  console.log(`${kind}: ${c.calls} calls, ${c.refused} refused on both sides, ${c.same} of ` +
    `${c.numbers} numbers the same bit for bit, the others within ${c.worst} ulp`);
}
if (failures > 0 || Object.keys(counts).length !== 4) {
  console.error(`${failures} differences`);
  process.exit(1);
}
