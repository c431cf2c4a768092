import { Cell } from "./cell.ts";
import { addressText, parseAddress, type Address, type View } from "./address.ts";
import type { UnitSystem } from "./units.ts";

export { titleOf, views, type Address, type View } from "./address.ts";

export const address = new Cell<Address>(parseAddress(location.hash));

type Change = Record<string, string | undefined>;

/** Changes that wait for a drag to end. */
let later: Change = {};
let pending: ReturnType<typeof setTimeout> | undefined;

/** The address as last seen or written, to tell a click that came in between. */
let written = location.hash;

/** How often somebody has gone somewhere: by a link, by the browser's back, by typing. */
export const arrivals = new Cell(0);

addEventListener("hashchange", () => {
  written = location.hash;
  // What a drag has put off belongs to where it was dragged.
  clearTimeout(pending);
  pending = undefined;
  later = {};
  if (location.hash !== addressText(address.get())) address.set(parseAddress(location.hash));
  arrivals.set(arrivals.get() + 1);
});

/** Keys that go along from view to view; the rest belongs to one view. */
const shared = ["r", "u", "t", "from", "to"];

export function linkTo(view: View, ask: Record<string, string> = {}): string {
  const kept: Record<string, string> = {};
  const now = address.get().ask;
  for (const key of shared) if (now[key] !== undefined) kept[key] = now[key];
  return addressText({ view, ask: { ...kept, ...ask } });
}

export function go(view: View, ask: Record<string, string> = {}): void {
  settle();
  location.hash = linkTo(view, ask);
}

function changed(ask: Change): void {
  const now = address.get();
  const next = { ...now.ask };
  for (const [key, value] of Object.entries(ask)) {
    if (value === undefined || value === "") delete next[key];
    else next[key] = value;
  }
  address.set({ view: now.view, ask: next });
}

function write(): void {
  // A click that came in between rules.
  if (location.hash !== written) return;
  history.replaceState(null, "", addressText(address.get()));
  written = location.hash;
}

/** Changes what the address says without a step in the history. */
export function note(ask: Change): void {
  settle();
  changed(ask);
  write();
}

/** What note() has put off is done now. */
export function settle(): void {
  if (pending === undefined) return;
  clearTimeout(pending);
  pending = undefined;
  const ask = later;
  later = {};
  changed(ask);
  write();
}

/**
 * As note, once nothing has changed for a moment: for what a finger drags. Until then nobody is told, so that a drag
 * draws nothing but what it drags.
 */
export function noteLater(ask: Change): void {
  later = { ...later, ...ask };
  clearTimeout(pending);
  pending = setTimeout(settle, 250);
}

export function unitSystem(a: Address): UnitSystem {
  return a.ask["u"] === "ip" ? "ip" : "si";
}
