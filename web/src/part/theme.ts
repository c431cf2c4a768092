import { Cell } from "../base/cell.ts";

export type Theme = "light" | "dark" | "sun";
export const themes = [
  ["light", "Light"],
  ["dark", "Dark"],
  ["sun", "Sun"],
] as const;

const place = "coilwright.theme";

function first(): Theme {
  try {
    const kept = localStorage.getItem(place);
    if (kept === "light" || kept === "dark" || kept === "sun") return kept;
  } catch {
    // A browser that keeps nothing: the system's choice rules.
  }
  return matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
}

export const theme = new Cell<Theme>(first());

function apply(now: Theme): void {
  document.documentElement.dataset["theme"] = now;
}
apply(theme.get());
theme.listen((now) => {
  apply(now);
  try {
    localStorage.setItem(place, now);
  } catch {
    // As above.
  }
});

const colours = new Map<string, string>();
let coloursOf: string | undefined;

/** What is drawn on canvas takes its colours from the same sheet as the rest; asked once for each light, not in each frame. */
export function colour(name: string): string {
  const now = document.documentElement.dataset["theme"];
  if (now !== coloursOf) colours.clear();
  coloursOf = now;
  const known = colours.get(name);
  if (known !== undefined) return known;
  const found = getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
  // Before the sheet has come there is nothing to keep.
  if (found !== "") colours.set(name, found);
  return found;
}

/** Line colours with dashes of their own, so that lines part without colour, too. */
export const lineKinds = 8;
export const dashes: readonly (readonly number[])[] = [
  [],
  [9, 4],
  [3, 3],
  [12, 3, 3, 3],
  [],
  [9, 4],
  [3, 3],
  [12, 3, 3, 3],
];
export function lineColour(index: number): string {
  return colour(`line-${index % lineKinds}`);
}
