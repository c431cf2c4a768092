import { Cell } from "./cell.ts";
import type { UnitSystem } from "./units.ts";

export const views = [
  ["recordings", "Recordings"],
  ["verdict", "Verdict"],
  ["time", "Time line"],
  ["cycle", "Cycle"],
  ["circuit", "Circuit"],
  ["units", "Units"],
  ["whatif", "What if"],
  ["fieldwork", "Fieldwork"],
  ["report", "Report"],
] as const;
export type View = (typeof views)[number][0];

/** What the address bar holds. Everything beside the view is text, absent where not said. */
export interface Address {
  view: View;
  ask: Record<string, string>;
}

export function parseAddress(hash: string): Address {
  const [path = "", query = ""] = hash.replace(/^#\/?/, "").split("?", 2);
  const view = views.find(([name]) => name === path)?.[0] ?? "recordings";
  const ask: Record<string, string> = {};
  for (const [key, value] of new URLSearchParams(query)) ask[key] = value;
  return { view, ask };
}

export function addressText(address: Address): string {
  const query = new URLSearchParams();
  for (const [key, value] of Object.entries(address.ask)) if (value !== "") query.set(key, value);
  const text = query.toString().replaceAll("%2C", ",").replaceAll("%40", "@");
  return `#/${address.view}${text === "" ? "" : `?${text}`}`;
}

export const address = new Cell<Address>(parseAddress(location.hash));

/** The address as last seen or written, to tell a click that came in between. */
let written = location.hash;

addEventListener("hashchange", () => {
  written = location.hash;
  if (location.hash !== addressText(address.get())) address.set(parseAddress(location.hash));
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
  location.hash = linkTo(view, ask);
}

let pending: ReturnType<typeof setTimeout> | undefined;

/** Changes what the address says without a step in the history; browsers refuse more than some a second. */
export function note(ask: Record<string, string | undefined>): void {
  const now = address.get();
  const next = { ...now.ask };
  for (const [key, value] of Object.entries(ask)) {
    if (value === undefined || value === "") delete next[key];
    else next[key] = value;
  }
  address.set({ view: now.view, ask: next });
  pending ??= setTimeout(() => {
    pending = undefined;
    if (location.hash !== written) return;
    history.replaceState(null, "", addressText(address.get()));
    written = location.hash;
  }, 150);
}

export function unitSystem(a: Address): UnitSystem {
  return a.ask["u"] === "ip" ? "ip" : "si";
}
