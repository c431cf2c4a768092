export type Stretch = readonly [number, number];

/** The shortest stretch that can be looked at [ms]. */
export const shortest = 10_000;

/** A stretch moved inside the recording without changing its length, as far as it fits. */
export function inside([from, to]: Stretch, start: number, end: number): Stretch {
  const length = Math.min(to - from, end - start);
  const a = Math.min(Math.max(from, start), end - length);
  return [a, a + length];
}

/** Closer (factor < 1) or wider around a share of the width that stays where it is. */
export function zoomed([from, to]: Stretch, factor: number, at: number, start: number, end: number): Stretch {
  const length = Math.min(Math.max((to - from) * factor, shortest), end - start);
  const fixed = from + at * (to - from);
  return inside([fixed - at * length, fixed + (1 - at) * length], start, end);
}

export function panned([from, to]: Stretch, share: number, start: number, end: number): Stretch {
  const by = share * (to - from);
  return inside([from + by, to + by], start, end);
}

/** A stretch of a given length around an instant. */
export function around(ms: number, length: number, start: number, end: number): Stretch {
  return inside([ms - length / 2, ms + length / 2], start, end);
}
