export const views = [
  ["recordings", "Recordings"],
  ["verdict", "Verdict"],
  ["causes", "Causes"],
  ["time", "Time line"],
  ["cycle", "Cycle"],
  ["circuit", "Circuit"],
  ["units", "Units"],
  ["whatif", "What if"],
  ["fieldwork", "Fieldwork"],
  ["report", "Report"],
] as const;
/** Views that a link of another one leads to. */
const further = [["columns", "What was understood"]] as const;
export type View = (typeof views)[number][0] | (typeof further)[number][0];

export function titleOf(view: View): string {
  return [...views, ...further].find(([name]) => name === view)?.[1] ?? "";
}

/** What the address bar holds. Everything beside the view is text, absent where not said. */
export interface Address {
  view: View;
  ask: Record<string, string>;
}

export function parseAddress(hash: string): Address {
  const [path = "", query = ""] = hash.replace(/^#\/?/, "").split("?", 2);
  const view = [...views, ...further].find(([name]) => name === path)?.[0] ?? "recordings";
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
