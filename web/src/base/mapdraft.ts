import type { SurveyFile, SurveyProposal } from "../api/types.ts";

/** What a person decided about one column, by its key (columnKey). */
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
  /** Lines above all tables, and those of [file], that the page has no fields for: they go along as they are. */
  top?: string[];
  file?: string[];
}

export const emptyDraft: MapDraft = { columns: {}, clock: {}, shape: [] };

/** Between the header and the file in a column's key: no header has it, for a zero byte is no text. */
const apart = "\u0000";

/** Which column it is: its header to the letter, and its file where the same header is another signal in each file. */
export function columnKey(header: string, file = ""): string {
  return file === "" ? header : `${header}${apart}${file}`;
}

export function headerOf(key: string): { header: string; file: string } {
  const [header = "", file = ""] = key.split(apart);
  return { header, file };
}

export function tomlText(text: string): string {
  const escaped = text.replaceAll(/[\u0000-\u001f\u007f"\\]/g, (c) =>
    c === '"' || c === "\\"
      ? `\\${c}`
      : `\\u${c.charCodeAt(0).toString(16).toUpperCase().padStart(4, "0")}`,
  );
  return `"${escaped}"`;
}

/** A value of a map as the server gives it. */
export type MapValue = string | number | boolean | MapValue[] | { [key: string]: MapValue };
export type MapTable = Record<string, MapValue>;

export function tomlValue(value: MapValue): string {
  if (typeof value === "string") return tomlText(value);
  if (Array.isArray(value)) return `[${value.map(tomlValue).join(", ")}]`;
  if (typeof value !== "object") return String(value);
  // JSON has no word for these: the server gives them by name.
  const odd = value["not_finite"];
  if (odd === "nan" || odd === "inf" || odd === "-inf") return odd;
  return `{ ${Object.entries(value).map(([k, v]) => `${tomlText(k)} = ${tomlValue(v)}`).join(", ")} }`;
}

const linesOf = (table: MapTable, without: readonly string[] = []): string[] =>
  Object.entries(table).filter(([k]) => !without.includes(k)).map(([k, v]) => `${k} = ${tomlValue(v)}`);

const tableOf = (value: MapValue | undefined): MapTable =>
  typeof value === "object" && !Array.isArray(value) ? value : {};

const textOf = (value: MapValue | undefined): string => (typeof value === "string" ? value : "");

/** A map that is in force as a draft to go on with, nothing of it lost; `map` is its TOML as JSON. */
export function draftOf(map: MapTable): MapDraft {
  const columns: Record<string, ColumnChoice> = {};
  for (const one of Array.isArray(map["ignore"]) ? map["ignore"] : []) {
    const table = tableOf(one);
    columns[columnKey(textOf(one) || textOf(table["header"]), textOf(table["file"]))] = { channel: "", unit: "", lines: [] };
  }
  for (const one of Array.isArray(map["column"]) ? map["column"] : []) {
    const table = tableOf(one);
    columns[columnKey(textOf(table["header"]), textOf(table["file"]))] = {
      channel: textOf(table["channel"]),
      unit: textOf(table["unit"]),
      lines: linesOf(table, ["header", "file", "channel", "unit"]),
    };
  }
  const clock = Object.entries(tableOf(map["clock"])).map(([k, v]) => [k, tomlValue(v)] as const);
  return {
    columns,
    clock: Object.fromEntries(clock),
    shape: linesOf(tableOf(map["shape"])),
    top: linesOf(map, ["ignore", "column", "clock", "shape", "file"]),
    file: linesOf(tableOf(map["file"])),
  };
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

export function unquoted(value: string): string {
  return /^".*"$/.test(value) ? value.slice(1, -1).replaceAll(/\\(["\\])/g, "$1") : value;
}

export function withColumn(draft: MapDraft, key: string, change: Partial<ColumnChoice>): MapDraft {
  const old = draft.columns[key] ?? { channel: "", unit: "", lines: [] };
  return { ...draft, columns: { ...draft.columns, [key]: { ...old, ...change } } };
}

export function withoutColumn(draft: MapDraft, key: string): MapDraft {
  const columns = { ...draft.columns };
  delete columns[key];
  return { ...draft, columns };
}

/** A key of [clock] as text; an empty one takes it away. */
export function withClock(draft: MapDraft, key: string, text: string): MapDraft {
  const clock = { ...draft.clock };
  delete clock[key];
  return { ...draft, clock: text.trim() === "" ? clock : { ...clock, [key]: tomlText(text.trim()) } };
}

/** True where the program offers lines that can be put into force. */
export function isUsable(proposal: SurveyProposal): boolean {
  return bareLines(proposal.toml).length > 0;
}

/** The channel that a proposal says; empty where it says none. */
export function channelOf(proposal: SurveyProposal): string {
  return /channel = "([^"]*)"/.exec(proposal.toml)?.[1] ?? "";
}

/** Takes a proposal into the draft; `key` is that of its column. */
export function accepted(draft: MapDraft, proposal: SurveyProposal, key = columnKey(proposal.column)): MapDraft {
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
  const old = draft.columns[key];
  const change: ColumnChoice = { channel: old?.channel ?? "", unit: old?.unit ?? "", lines: old?.lines ?? [] };
  for (const line of lines) {
    const pair = keyValue(line);
    if (pair?.[0] === "channel") change.channel = unquoted(pair[1]);
    else if (pair?.[0] === "unit") change.unit = unquoted(pair[1]);
    else change.lines = [...change.lines.filter((l) => keyValue(l)?.[0] !== pair?.[0]), line];
  }
  return { ...draft, columns: { ...draft.columns, [key]: change } };
}

/**
 * How the columns of these files are named in a map. A header that two files have at the same time is another signal in
 * each of them; files that follow each other go on with the same signals.
 */
export function keysOf(files: readonly SurveyFile[]): (file: string, header: string) => string {
  const among = new Map<string, SurveyFile[]>();
  for (const file of files) {
    for (const column of file.columns) {
      if (column.role === "time") continue;
      among.set(column.header, [...(among.get(column.header) ?? []), file]);
    }
  }
  const apiece = new Set([...among].filter(([, of]) => of.some((a, i) => of.slice(i + 1).some((b) => together(a, b)))).map(([h]) => h));
  return (file, header) => columnKey(header, apiece.has(header) ? file : "");
}

/**
 * Do two files show the same time, for more than half of the shorter one? Where either has no times yet (its clock is not
 * decided) it must be taken for so: a header that is one signal too few can be named twice, two signals in one are lost.
 */
function together(a: SurveyFile, b: SurveyFile): boolean {
  const [a0, a1, b0, b1] = [a.first, a.last, b.first, b.last].map((iso) => Date.parse(/(Z|[+-]\d\d:\d\d)$/.test(iso) ? iso : `${iso}Z`));
  if (a0 === undefined || a1 === undefined || b0 === undefined || b1 === undefined) return true;
  if ([a0, a1, b0, b1].some(Number.isNaN)) return true;
  return Math.min(a1, b1) - Math.max(a0, b0) > 0.5 * Math.min(a1 - a0, b1 - b0);
}

/** Every proposal at least so sure, the surest of a column ruling, each channel for one column only. */
export function likely(files: readonly SurveyFile[], confidence: number): MapDraft {
  let draft = emptyDraft;
  const keyOf = keysOf(files);
  const taken = new Map<string, string>(files.flatMap((f) => f.columns).flatMap((c) => (c.channel ? [[c.channel, ""] as const] : [])));
  for (const file of files) {
    const sure = file.proposals
      .filter((p) => p.confidence >= confidence && isUsable(p))
      .sort((a, b) => a.confidence - b.confidence);
    const best = new Map(sure.filter((p) => p.kind === "channel").map((p) => [keyOf(file.file, p.column), p]));
    for (const [key, p] of best) {
      const holder = taken.get(channelOf(p));
      if (holder !== undefined && holder !== key) continue;
      taken.set(channelOf(p), key);
      draft = accepted(draft, p, key);
    }
    // Lines below a column make sense only where the column has become a channel.
    for (const p of sure.filter((p) => p.kind !== "channel")) {
      const key = keyOf(file.file, p.column);
      if (p.column === "" || (draft.columns[key]?.channel ?? "") !== "") draft = accepted(draft, p, key);
    }
  }
  return draft;
}

function ignoredText({ header, file }: { header: string; file: string }): string {
  return file === "" ? tomlText(header) : `{ header = ${tomlText(header)}, file = ${tomlText(file)} }`;
}

/** The draft as the TOML of a map; empty when nothing was decided. */
export function mapText(draft: MapDraft): string {
  const all = Object.entries(draft.columns).map(([key, choice]) => ({ ...headerOf(key), ...choice }));
  const ignored = all.filter((c) => c.channel === "");
  const wanted = all.filter((c) => c.channel !== "");
  let out = "";
  if (ignored.length > 0) out += `ignore = [${ignored.map(ignoredText).join(", ")}]\n`;
  for (const line of draft.top ?? []) out += `${line}\n`;
  if (draft.file && draft.file.length > 0) out += `\n[file]\n${draft.file.map((line) => `${line}\n`).join("")}`;
  const clock = Object.entries(draft.clock).filter(([, value]) => value !== "" && value !== '""');
  if (clock.length > 0) out += `\n[clock]\n${clock.map(([k, v]) => `${k} = ${v}\n`).join("")}`;
  if (draft.shape.length > 0) out += `\n[shape]\n${draft.shape.map((line) => `${line}\n`).join("")}`;
  for (const c of wanted) {
    out += `\n[[column]]\nheader = ${tomlText(c.header)}\n`;
    if (c.file !== "") out += `file = ${tomlText(c.file)}\n`;
    out += `channel = ${tomlText(c.channel)}\n`;
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
