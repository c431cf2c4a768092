import type { SheetJson } from "../api/types.ts";

export interface Node {
  id: string;
  kind: "outdoor" | "indoor" | "branch" | "joint";
  column: number;
  /** In rows; indoor units lie on whole rows. */
  row: number;
}

export interface Run {
  from: Node;
  to: Node;
  length: number;
  rise: number;
  sizes: string;
  third: boolean;
}

export interface Network {
  nodes: Node[];
  runs: Run[];
  columns: number;
  rows: number;
}

function kindOf(id: string): Node["kind"] {
  const front = id.split(".")[0];
  return front === "outdoor" || front === "indoor" || front === "branch" ? front : "joint";
}

/**
 * Places of a pipe tree for drawing: outdoor modules on the left, each indoor unit a row on the right, joints between by
 * how many pipes lie before them, at the middle of what they feed.
 */
export function networkOf(sheet: SheetJson): Network {
  const nodes = new Map<string, Node>();
  const below = new Map<string, string[]>();
  const above = new Map<string, string[]>();
  const node = (id: string): Node => {
    const known = nodes.get(id);
    if (known) return known;
    const made: Node = { id, kind: kindOf(id), column: 0, row: -1 };
    nodes.set(id, made);
    return made;
  };
  for (const p of sheet.pipes) {
    node(p.from);
    node(p.to);
    below.set(p.from, [...(below.get(p.from) ?? []), p.to]);
    above.set(p.to, [...(above.get(p.to) ?? []), p.from]);
  }
  const deepen = (id: string, column: number) => {
    const n = node(id);
    if (column < n.column && column !== 0) return;
    n.column = Math.max(n.column, column);
    for (const next of below.get(id) ?? []) deepen(next, n.column + 1);
  };
  const modules = [...nodes.values()].filter((n) => n.kind === "outdoor");
  for (const m of modules) deepen(m.id, 0);
  let rows = 0;
  const settle = (id: string): number => {
    const n = node(id);
    if (n.row >= 0) return n.row;
    const next = below.get(id) ?? [];
    if (next.length === 0) n.row = rows++;
    else {
      const places = next.map(settle);
      n.row = 0.5 * (Math.min(...places) + Math.max(...places));
    }
    return n.row;
  };
  for (const m of modules) for (const next of below.get(m.id) ?? []) settle(next);
  // Modules stand one below the other around the middle of what they feed.
  const middle = modules.flatMap((m) => (below.get(m.id) ?? []).map((id) => node(id).row));
  const centre = middle.length > 0 ? middle.reduce((a, b) => a + b, 0) / middle.length : 0;
  const apart = 3.2;
  const top = Math.max(0, centre - (apart * (modules.length - 1)) / 2);
  modules.forEach((m, i) => {
    m.row = top + apart * i;
  });
  const columns = Math.max(1, ...[...nodes.values()].map((n) => n.column)) + 1;
  // Units lie in the last column, wherever their branch begins.
  for (const n of nodes.values()) if (n.kind === "indoor") n.column = columns - 1;
  const runs = sheet.pipes.map((p) => ({
    from: node(p.from),
    to: node(p.to),
    length: p.length_m,
    rise: p.rise_m,
    sizes: [p.liquid?.size, p.gas?.size, p.third?.size].filter(Boolean).join(" / "),
    third: p.third !== null,
  }));
  return { nodes: [...nodes.values()], runs, columns, rows: Math.max(rows, top + apart * modules.length) };
}
