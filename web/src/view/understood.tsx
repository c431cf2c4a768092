import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { ask } from "../api/client.ts";
import type { Survey, SurveyColumn, SurveyFile, SurveyProposal } from "../api/types.ts";
import {
  accepted,
  channelOf,
  headerOf,
  isUsable,
  keysOf,
  likely,
  mapText,
  withColumn,
  withoutColumn,
  type MapDraft,
} from "../base/mapdraft.ts";
import { placeWords } from "../base/names.ts";
import { Fold, List, saveText } from "../part/bits.tsx";
import { SetAside } from "../part/setaside.tsx";
import { about } from "../part/session.ts";
import { Sure, Times } from "./clockfact.tsx";

/** "outdoor.1.suction_pressure" in its place and its quantity. */
function splitChannel(channel: string): [string, string] {
  const at = channel.lastIndexOf(".");
  return at < 0 ? ["", channel] : [channel.slice(0, at), channel.slice(at + 1)];
}

/** How numbers of the file are shown: five digits, as they stand there. */
function asItStands(value: number | undefined): string {
  return value === undefined ? "" : String(Number(value.toPrecision(5))).replace("-", "−");
}

type KeyOf = (file: string, header: string) => string;

interface OfFile {
  file: SurveyFile;
  keyOf: KeyOf;
  draft: MapDraft;
  onDraft: (d: MapDraft) => void;
}

interface Named {
  place: string;
  quantity: string;
  unit: string;
}

/** What a column is, said by hand. */
function ColumnEditor({ header, first, onUse, onBack }: { header: string; first: Named; onUse: (n: Named) => void; onBack: () => void }) {
  const [named, setNamed] = useState(first);
  const place = useRef<HTMLInputElement>(null);
  // What stands there is typed over, or left with the next key. Before the first key: later would select it, too.
  useLayoutEffect(() => place.current?.select(), []);
  const set = (change: Partial<Named>) => setNamed({ ...named, ...change });
  const wantsUnit = named.quantity !== "" && named.unit.trim() === "" && needsUnit(named.quantity);
  const ready = named.place.trim() !== "" && named.quantity !== "" && !wantsUnit;
  return (
    <div class="row tight editor" onKeyDown={(e) => {
      if (e.key === "Escape") onBack();
      if (e.key === "Enter" && e.target instanceof HTMLInputElement && ready) onUse(named);
    }}>
      <input ref={place} aria-label={`Place of ${header}`} list="places" size={11} value={named.place} placeholder="outdoor.1"
        onInput={(e) => set({ place: e.currentTarget.value })} />
      <select aria-label={`Quantity of ${header}`} value={named.quantity} onChange={(e) => set({ quantity: e.currentTarget.value })}>
        <option value="">what it measures</option>
        {(about.get()?.quantities ?? []).map((q) => (
          <option key={q.name} value={q.name}>{q.label}</option>
        ))}
      </select>
      <input aria-label={`Unit of ${header}`} list={`units-${unitsFor(named.quantity)}`} size={8} value={named.unit} placeholder="unit"
        onInput={(e) => set({ unit: e.currentTarget.value })} />
      <button type="button" class="main" disabled={!ready} onClick={() => onUse(named)}>
        Use
      </button>
      <button type="button" onClick={onBack}>Back</button>
      {wantsUnit ? (
        <p class="which-unit">
          In which unit? The file does not say.{" "}
          {(usualUnits[unitsFor(named.quantity)] ?? []).map((u) => (
            <button key={u} type="button" class="small" onClick={() => set({ unit: u })}>{u}</button>
          ))}
        </p>
      ) : null}
    </div>
  );
}

interface ColumnRow {
  column: SurveyColumn;
  /** Its key in the draft. */
  of: string;
  proposal: SurveyProposal | undefined;
  draft: MapDraft;
  onDraft: (d: MapDraft) => void;
}

/** What a column is taken for; empty where that is open. */
function statusOf({ column, of, draft }: Pick<ColumnRow, "column" | "of" | "draft">): string {
  const chosen = draft.columns[of];
  if (column.role === "time" || column.role === "empty") return column.role;
  if (column.role === "channel") return column.channel ?? chosen?.channel ?? "";
  return chosen?.channel === "" ? "left out" : "";
}

/** What the editor begins with: what was chosen, what is understood, what is proposed. */
function firstOf({ column, of, proposal, draft }: ColumnRow): Named {
  const chosen = draft.columns[of];
  const proposed = proposal && channelOf(proposal);
  const [place, quantity] = splitChannel(chosen?.channel || column.channel || proposed || "");
  return { place, quantity, unit: chosen?.unit || column.unit || /unit = "([^"]*)"/.exec(proposal?.toml ?? "")?.[1] || "" };
}

function ColumnActs({ row, status, onEdit, onDraft }: { row: ColumnRow; status: string; onEdit: () => void; onDraft: (d: MapDraft) => void }) {
  const { column, of, proposal, draft } = row;
  const { header } = column;
  return (
    <div class="row tight">
      {status === "" && proposal && isUsable(proposal) ? (
        <button type="button" class="main" onClick={() => onDraft(accepted(draft, proposal, of))}>
          Yes<span class="hidden">, {header} {proposal.what}</span>
        </button>
      ) : null}
      <button type="button" class="edit" onClick={onEdit}>
        {status === "" ? "It is …" : "Change"}
        <span class="hidden"> {header}</span>
      </button>
      {status === "left out" ? (
        <button type="button" onClick={() => onDraft(withoutColumn(draft, of))}>
          Take it after all<span class="hidden"> {header}</span>
        </button>
      ) : (
        <button type="button" class="quiet" onClick={() => onDraft(withColumn(draft, of, { channel: "", lines: [] }))}>
          Leave out<span class="hidden"> {header}</span>
        </button>
      )}
    </div>
  );
}

/** A name that may go on in the next line after a dot or a bar, where one of its words is long. */
function Breaking({ text }: { text: string }) {
  if (!/\S{15}/.test(text)) return <>{text}</>;
  return <>{text.split(/(?<=[._])/).map((piece, i) => (i === 0 ? piece : <><wbr />{piece}</>))}</>;
}

/** What a column is taken for, or might be. */
function Taken({ status, proposal }: { status: string; proposal: SurveyProposal | undefined }) {
  if (status === "time" || status === "empty" || status === "left out") return <span class="is">{status}</span>;
  if (status !== "") {
    const [place] = splitChannel(status);
    return (
      <>
        <span class="is"><Breaking text={status} /></span> <span class="soft">{placeWords(place)}</span>
      </>
    );
  }
  if (!proposal) return <span class="soft">not understood</span>;
  return (
    <>
      {proposal.what}? <Sure of={proposal.confidence} />
      <p class="soft">{proposal.evidence}</p>
    </>
  );
}

function Column(row: ColumnRow) {
  const { column, of, proposal, draft } = row;
  const [editing, setEditing] = useState(false);
  const line = useRef<HTMLTableRowElement>(null);
  // Whose button has just gone: the focus stays in the row.
  const acted = useRef(false);
  const status = statusOf(row);
  useEffect(() => {
    if (!acted.current || editing) return;
    acted.current = false;
    line.current?.querySelector<HTMLElement>("button.edit")?.focus();
  });
  const fixedRole = column.role === "time" || column.role === "empty";
  const change = (next: MapDraft) => {
    acted.current = true;
    row.onDraft(next);
  };
  const use = ({ place, quantity, unit }: Named) => {
    setEditing(false);
    change(withColumn(draft, of, { channel: `${place.trim()}.${quantity}`, unit: unit.trim() }));
  };
  const back = () => {
    acted.current = true;
    setEditing(false);
  };
  return (
    <tr ref={line} class={status === "" ? "open-column" : undefined}>
      <th scope="row"><Breaking text={column.header || `column ${column.position}`} /></th>
      <td>{column.unit}</td>
      <td class="n">
        {column.lowest === undefined
          ? Object.keys(column.words ?? {}).slice(0, 3).join(", ")
          : `${asItStands(column.lowest)} … ${asItStands(column.highest)}`}
      </td>
      {editing ? (
        <td colSpan={2}>
          <ColumnEditor header={column.header} first={firstOf(row)} onUse={use} onBack={back} />
        </td>
      ) : (
        <>
          <td><Taken status={status} proposal={proposal} /></td>
          <td>{fixedRole ? null : <ColumnActs row={row} status={status} onEdit={() => setEditing(true)} onDraft={change} />}</td>
        </>
      )}
    </tr>
  );
}

function Further({ file, keyOf, draft, onDraft }: OfFile) {
  const rest = file.proposals.filter((p) => p.kind !== "channel");
  if (rest.length === 0) return null;
  return (
    <div class="fact">
      <h3>Worth a look</h3>
      <ul class="doubts">
        {rest.map((p) => (
          <li key={`${p.column} ${p.kind} ${p.what}`}>
            {p.column ? <strong>{p.column}: </strong> : null}
            {p.what} <Sure of={p.confidence} />
            <p class="soft">{p.evidence}</p>
            {isUsable(p) ? (
              <button type="button" onClick={() => onDraft(accepted(draft, p, keyOf(file.file, p.column)))}>
                Yes<span class="hidden">, {p.column} {p.what}</span>
              </button>
            ) : null}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** Form, clock, and what is worth a look. */
function Facts({ file, keyOf, draft, onDraft }: OfFile) {
  return (
    <div class="facts">
      <div class="fact">
        <h3>Form</h3>
        <p>
          {file.format}, {file.shape}
          {file.titles[0] ? `; title “${file.titles[0].slice(0, 80)}”` : ""}
        </p>
        <ul>
          {file.findings.map((f) => (
            <li key={f.what}>
              {f.what} <Sure of={f.confidence} />
            </li>
          ))}
        </ul>
      </div>
      <Times file={file} draft={draft} onDraft={onDraft} />
      <Further file={file} keyOf={keyOf} draft={draft} onDraft={onDraft} />
    </div>
  );
}

/** Every column; what was not understood at the first look on top, and it stays there while it is named. */
function Columns({ file, keyOf, draft, onDraft }: OfFile) {
  const best = (header: string) =>
    file.proposals
      .filter((p) => p.kind === "channel" && p.column === header)
      .sort((a, b) => b.confidence - a.confidence)[0];
  const known = (c: SurveyColumn) => Number(c.role === "channel" || c.role === "time");
  const name = (c: SurveyColumn) => `${c.position} ${c.header}`;
  const rows = file.columns.map(name).sort().join("\n");
  const order = useMemo(() => new Map([...file.columns].sort((a, b) => known(a) - known(b)).map((c, i) => [name(c), i])), [rows]);
  const place = (c: SurveyColumn) => order.get(name(c)) ?? 0;
  return (
    <div tabIndex={0} class="wide-table tall">
      <table>
        <thead>
          <tr>
            <th scope="col">Header</th>
            <th scope="col">Unit</th>
            <th scope="col" class="n">As it stands</th>
            <th scope="col">Is</th>
            <th scope="col">Correct it</th>
          </tr>
        </thead>
        <tbody>
          {[...file.columns].sort((a, b) => place(a) - place(b)).map((c) => (
            <Column
              key={name(c)}
              column={c}
              of={keyOf(file.file, c.header)}
              proposal={c.role === "channel" ? undefined : best(c.header)}
              draft={draft}
              onDraft={onDraft}
            />
          ))}
        </tbody>
      </table>
    </div>
  );
}

function File({ file, keyOf, draft, onDraft }: OfFile) {
  const understood = file.columns.filter((c) => c.role === "channel").length;
  const unknown = file.columns.filter((c) => c.role !== "channel" && c.role !== "time" && c.role !== "empty");
  const facts = <Facts file={file} keyOf={keyOf} draft={draft} onDraft={onDraft} />;
  return (
    <section class="survey">
      <h2>{file.file}</h2>
      {file.clock.error ? facts : null}
      <h3>
        Columns: {understood} understood
        {unknown.length > 0 ? `, ${unknown.length} not or left out` : ""}
      </h3>
      <Columns file={file} keyOf={keyOf} draft={draft} onDraft={onDraft} />
      {file.clock.error ? null : facts}
    </section>
  );
}

/** How many columns are channels already: without one there is nothing to judge. */
export function understoodIn(survey: Survey): number {
  return survey.files.flatMap((f) => f.columns).filter((c) => c.role === "channel").length;
}

/** The place names that a person may want: usual ones, and those of what is understood or proposed. */
function placesIn(survey: Survey): string[] {
  const places = new Set(["site", "outdoor.1", "outdoor.2", "indoor.1", "indoor.2"]);
  const add = (channel: string) => places.add(splitChannel(channel)[0]);
  for (const c of survey.files.flatMap((f) => f.columns)) if (c.channel) add(c.channel);
  for (const p of survey.files.flatMap((f) => f.proposals)) {
    if (channelOf(p) !== "") add(channelOf(p));
  }
  return [...places].sort();
}

/** With more than so many, each with two buttons of its own, the keyboard has a way past them. */
const manyColumns = 12;

/** The units that a person may want, by what is measured. */
const usualUnits: Record<string, readonly string[]> = {
  temperature: ["degC", "degF", "K"],
  temperature_difference: ["K", "degF"],
  pressure: ["kPa(g)", "kPa(a)", "bar(g)", "bar(a)", "MPa(g)", "psi(g)", "psi(a)"],
  frequency: ["Hz", "rpm"],
  ratio: ["%"],
  power: ["kW", "W"],
  current: ["A"],
  "": ["degC", "degF", "K", "kPa(g)", "bar(g)", "psi(g)", "MPa(g)", "Hz", "rpm", "%", "kW", "W", "A"],
};

function dimensionOf(quantity: string): string {
  return about.get()?.quantities.find((q) => q.name === quantity)?.dimension ?? "";
}

/** What is counted or told in words has none; anything else is refused without, and a guess would be wrong half of the time. */
function needsUnit(quantity: string): boolean {
  return quantity !== "pressure_ratio" && !["count", "flag", "state"].includes(dimensionOf(quantity));
}

function unitsFor(quantity: string): string {
  const dimension = dimensionOf(quantity);
  return usualUnits[dimension] ? dimension : "";
}

/** What is in force in a sentence, and one yes to all that is likely. */
function Lead({ survey, keyOf, draft, onDraft }: { survey: Survey; keyOf: KeyOf; draft: MapDraft; onDraft: (d: MapDraft) => void }) {
  const probable = likely(survey.files, 0.75);
  const waiting = Object.keys(probable.columns).filter((h) => draft.columns[h] === undefined).length;
  const understood = understoodIn(survey);
  const columns = survey.files.flatMap((f) => f.columns.map((column) => ({ column, of: keyOf(f.file, column.header) })));
  const open = columns.filter((c) => statusOf({ ...c, draft }) === "").length;
  const yesToAll = () =>
    onDraft({
      ...draft,
      columns: { ...probable.columns, ...draft.columns },
      clock: { ...probable.clock, ...draft.clock },
      shape: [...new Set([...probable.shape, ...draft.shape])],
    });
  return (
    <>
      <p class="lead">
        {understood === 0
          ? `No column is understood yet. ${waiting > 0 ? "Say yes to what is likely, or say" : "Say"} below what they are.`
          : `${understood === 1 ? "1 channel is" : `${understood} channels are`} understood${open === 0 ? "" : `; ${open} ${open === 1 ? "column is" : "columns are"} open, and what stands in ${open === 1 ? "it" : "them"} will not be judged`}.`}{" "}
        {open === 0 ? "" : "Nothing that is only proposed is in force until you say yes."}
      </p>
      {waiting > 0 ? (
        <p>
          <button type="button" class="main" onClick={yesToAll}>
            Yes to all {waiting} that are likely
          </button>
        </p>
      ) : null}
    </>
  );
}

/** The decisions as text, to keep. */
function MapText({ draft, intake }: { draft: MapDraft; intake: string }) {
  const saveProposed = async () =>
    saveText("proposed.map.toml", "application/toml", await (await ask(`/api/intake/${intake}/map`)).text());
  return (
    <Fold title="The map as text">
      <p class="soft">What you decided, as text: other programs and the command line read it, too. It is kept with the recording.</p>
      <pre tabIndex={0} class="code">{mapText(draft) || "# Nothing decided by hand."}</pre>
      <div class="row">
        <button type="button" onClick={() => saveText("map.toml", "application/toml", mapText(draft))}>
          Save this map
        </button>
        <button type="button" onClick={() => void saveProposed()}>
          Save the map in force, with what is proposed
        </button>
      </div>
    </Fold>
  );
}

/**
 * The files with the columns that were left out, too: a survey passes over them, and who has left one out must be able to
 * take it after all. What was seen of it before stands there still.
 */
function useAllColumns(survey: Survey, draft: MapDraft): SurveyFile[] {
  const seen = useRef(new Map<string, { file: string; column: SurveyColumn }>());
  for (const file of survey.files) for (const column of file.columns) seen.current.set(column.header, { file: file.file, column });
  const here = new Set(survey.files.flatMap((f) => f.columns.map((c) => c.header)));
  const out = Object.entries(draft.columns).map(([key, choice]) => ({ ...headerOf(key), left: choice.channel === "" }));
  const gone = out.filter((c) => c.left && c.file === "" && !here.has(c.header)).map(({ header }) => {
    const known = seen.current.get(header);
    const { channel: _, ...column } = known?.column ?? { position: 0, header, unit: "", role: "", numbers: 0, texts: 0 };
    const file = survey.files.find((f) => f.file === known?.file) ?? survey.files[0];
    return { file: file?.file, column: { ...column, role: "left out" } };
  });
  return survey.files.map((f) => ({ ...f, columns: [...f.columns, ...gone.filter((g) => g.file === f.file).map((g) => g.column)] }));
}

interface Props {
  survey: Survey;
  draft: MapDraft;
  intake: string;
  onDraft: (d: MapDraft) => void;
}

/** What reading the files has shown, and everything in it that can be corrected by clicking. */
export function Understood({ survey, draft, intake, onDraft }: Props) {
  const keyOf = keysOf(survey.files);
  const files = useAllColumns(survey, draft);
  return (
    <>
      <datalist id="places">{placesIn(survey).map((n) => <option key={n} value={n} label={placeWords(n)} />)}</datalist>
      {Object.entries(usualUnits).map(([dimension, units]) => (
        <datalist key={dimension} id={`units-${dimension}`}>{units.map((u) => <option key={u} value={u} />)}</datalist>
      ))}
      <Lead survey={survey} keyOf={keyOf} draft={draft} onDraft={onDraft} />
      {files.reduce((n, f) => n + f.columns.length, 0) > manyColumns ? (
        <a class="past" href="#main" onClick={(e) => {
          // The address holds the view, so the usual fragment cannot be used.
          e.preventDefault();
          document.querySelector<HTMLElement>(".take-in .main")?.focus();
        }}>
          Past the columns, to taking it in
        </a>
      ) : null}
      {files.map((f) => <File key={f.file} file={f} keyOf={keyOf} draft={draft} onDraft={onDraft} />)}
      <Fold title="What was set aside">
        <SetAside counters={survey.counters} rejects={survey.rejects} />
      </Fold>
      <Fold title={`What is taken as read (${survey.assumptions.length})`}>
        <List of={survey.assumptions} none="Nothing." />
      </Fold>
      <MapText draft={draft} intake={intake} />
    </>
  );
}
