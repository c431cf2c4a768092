import type { SurveyFile, SurveyProposal } from "../api/types.ts";

/** What a person decided about one column, by its header to the letter. */
export interface ColumnChoice {
  /** "outdoor.1.discharge_pressure"; empty: this column is not wanted. */
  channel: string;
  unit: string;
  /** Further lines of its table, as proposals carry them: "factor = 0.1". */
  lines: string[];
}

/** A map in the making; see docs/user/maps.md. Constant: every change gives a new one. */
export interface MapDraft {
  columns: Record<string, ColumnChoice>;
  /** Keys of [clock] with their values as TOML. */
  clock: Record<string, string>;
  /** Lines of [shape]. */
  shape: string[];
}

export const emptyDraft: MapDraft = { columns: {}, clock: {}, shape: [] };

export function tomlText(text: string): string {
  const escaped = text.replaceAll(/[\u0000-\u001f\u007f"\\]/g, (c) =>
    c === '"' || c === "\\"
      ? `\\${c}`
      : `\\u${c.charCodeAt(0).toString(16).toUpperCase().padStart(4, "0")}`,
  );
  return `"${escaped}"`;
}

/** The lines of a proposal without what stands behind a comment sign outside of quotes. */
export function bareLines(toml: string): string[] {
  return toml
    .split("\n")
    .map((line) => line.replace(/^((?:[^"#]|"(?:[^"\\]|\\.)*")*)#.*$/, "$1").trim())
    .filter((line) => line !== "");
}

function keyValue(line: string): [string, string] | null {
  const match = /^([A-Za-z_]+)\s*=\s*(.+)$/.exec(line);
  return match?.[1] !== undefined && match[2] !== undefined ? [match[1], match[2]] : null;
}

function unquoted(value: string): string {
  return /^".*"$/.test(value) ? value.slice(1, -1).replaceAll(/\\(["\\])/g, "$1") : value;
}

export function withColumn(draft: MapDraft, header: string, change: Partial<ColumnChoice>): MapDraft {
  const old = draft.columns[header] ?? { channel: "", unit: "", lines: [] };
  return { ...draft, columns: { ...draft.columns, [header]: { ...old, ...change } } };
}

export function withoutColumn(draft: MapDraft, header: string): MapDraft {
  const columns = { ...draft.columns };
  delete columns[header];
  return { ...draft, columns };
}

/** True where the program offers lines that can be put into force. */
export function isUsable(proposal: SurveyProposal): boolean {
  return bareLines(proposal.toml).length > 0;
}

/** Takes a proposal into the draft. */
export function accepted(draft: MapDraft, proposal: SurveyProposal): MapDraft {
  const lines = bareLines(proposal.toml);
  if (proposal.kind === "clock") {
    const clock = { ...draft.clock };
    for (const line of lines) {
      const pair = keyValue(line);
      if (pair) clock[pair[0]] = pair[1];
    }
    return { ...draft, clock };
  }
  if (proposal.column === "") {
    const shape = lines.filter((line) => !line.startsWith("["));
    return { ...draft, shape: [...new Set([...draft.shape, ...shape])] };
  }
  const old = draft.columns[proposal.column];
  const change: ColumnChoice = { channel: old?.channel ?? "", unit: old?.unit ?? "", lines: old?.lines ?? [] };
  for (const line of lines) {
    const pair = keyValue(line);
    if (pair?.[0] === "channel") change.channel = unquoted(pair[1]);
    else if (pair?.[0] === "unit") change.unit = unquoted(pair[1]);
    else change.lines = [...change.lines.filter((l) => keyValue(l)?.[0] !== pair?.[0]), line];
  }
  return { ...draft, columns: { ...draft.columns, [proposal.column]: change } };
}

/** Every proposal at least so sure, the surest of a column ruling. */
export function likely(files: readonly SurveyFile[], confidence: number): MapDraft {
  let draft = emptyDraft;
  for (const file of files) {
    const sure = file.proposals
      .filter((p) => p.confidence >= confidence && isUsable(p))
      .sort((a, b) => a.confidence - b.confidence);
    for (const p of sure.filter((p) => p.kind === "channel")) draft = accepted(draft, p);
    // Lines below a column make sense only where the column has become a channel.
    for (const p of sure.filter((p) => p.kind !== "channel")) {
      if (p.column === "" || (draft.columns[p.column]?.channel ?? "") !== "") draft = accepted(draft, p);
    }
  }
  return draft;
}

/** The draft as the TOML of a map; empty when nothing was decided. */
export function mapText(draft: MapDraft): string {
  const ignored = Object.entries(draft.columns).filter(([, c]) => c.channel === "");
  const wanted = Object.entries(draft.columns).filter(([, c]) => c.channel !== "");
  let out = "";
  if (ignored.length > 0) out += `ignore = [${ignored.map(([h]) => tomlText(h)).join(", ")}]\n`;
  const clock = Object.entries(draft.clock).filter(([, value]) => value !== "" && value !== '""');
  if (clock.length > 0) out += `\n[clock]\n${clock.map(([k, v]) => `${k} = ${v}\n`).join("")}`;
  if (draft.shape.length > 0) out += `\n[shape]\n${draft.shape.map((line) => `${line}\n`).join("")}`;
  for (const [header, c] of wanted) {
    out += `\n[[column]]\nheader = ${tomlText(header)}\nchannel = ${tomlText(c.channel)}\n`;
    if (c.unit !== "") out += `unit = ${tomlText(c.unit)}\n`;
    for (const line of c.lines) out += `${line}\n`;
  }
  return out;
}

/** The same for files with the same headers, whatever their order. */
export function headersKey(files: readonly SurveyFile[]): string {
  const all = files.flatMap((f) => f.columns.map((c) => c.header));
  return [...new Set(all)].sort().join("\n");
}
