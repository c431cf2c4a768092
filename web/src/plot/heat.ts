/** From too cold (blue, dark) over none (pale) to too warm (orange, dark): parts for every kind of colour sight. */
const stops: readonly (readonly [number, number, number, number])[] = [
  [-5, 24, 52, 120],
  [-2.5, 79, 124, 191],
  [-0.8, 190, 208, 228],
  [0, 232, 230, 220],
  [0.8, 240, 208, 170],
  [2.5, 216, 122, 46],
  [5, 122, 50, 8],
];

/** Colour of a distance from a set point [K]. */
export function deviationColour(kelvin: number): string {
  const first = stops[0];
  const last = stops[stops.length - 1];
  if (!first || !last) return "";
  const k = Math.min(last[0], Math.max(first[0], kelvin));
  const i = Math.max(1, stops.findIndex((s) => k <= s[0]));
  const a = stops[i - 1] ?? first;
  const b = stops[i] ?? last;
  const t = (k - a[0]) / (b[0] - a[0] || 1);
  const mix = (n: 1 | 2 | 3) => Math.round(a[n] + t * (b[n] - a[n]));
  return `rgb(${mix(1)}, ${mix(2)}, ${mix(3)})`;
}
