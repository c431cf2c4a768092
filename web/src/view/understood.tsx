import { useState } from "preact/hooks";
import { ask } from "../api/client.ts";
import type { Survey, SurveyColumn, SurveyFile, SurveyProposal } from "../api/types.ts";
import {
  accepted,
  isUsable,
  likely,
  mapText,
  withColumn,
  withoutColumn,
  type MapDraft,
} from "../base/mapdraft.ts";
import { durationText, instantText, isoMs } from "../base/time.ts";
import { fixed } from "../base/units.ts";
import { Fold, List, saveText } from "../part/bits.tsx";
import { SetAside } from "../part/setaside.tsx";
import { about } from "../part/session.ts";

function Sure({ of }: { of: number }) {
  const word = of >= 0.9 ? "sure" : of >= 0.75 ? "likely" : of >= 0.5 ? "perhaps" : "a guess";
  return (
    <span class="sure">
      <meter min={0} max={1} value={of} aria-hidden="true" /> {word}, {fixed(100 * of, 0)} %
    </span>
  );
}

/** "outdoor.1.suction_pressure" in its place and its quantity. */
function splitChannel(channel: string): [string, string] {
  const at = channel.lastIndexOf(".");
  return at < 0 ? ["", channel] : [channel.slice(0, at), channel.slice(at + 1)];
}

/** How numbers of the file are shown: five digits, as they stand there. */
function asItStands(value: number | undefined): string {
  return value === undefined ? "" : String(Number(value.toPrecision(5))).replace("-", "−");
}

interface OfFile {
  file: SurveyFile;
  draft: MapDraft;
  onDraft: (d: MapDraft) => void;
}

function Times({ file, draft, onDraft }: OfFile) {
  const offset = /([+-]\d\d:\d\d|Z)$/.exec(file.first)?.[1];
  const [zone, setZone] = useState(() => (draft.clock["zone"] ?? "").replaceAll('"', ""));
  const wall = (iso: string) => instantText(isoMs(iso.replace(/(Z|[+-]\d\d:\d\d)$/, "")), { kind: "unstated" });
  return (
    <div class="fact">
      <h3>Clock</h3>
      <p>
        {file.clock.reason} <Sure of={file.clock.confidence} />
      </p>
      {file.clock.error ? <p class="warn">Not decided: {file.clock.error}</p> : null}
      {file.clock.error ? (
        <div class="row">
          {(["day-month-year", "month-day-year"] as const).map((order) => (
            <button
              key={order}
              type="button"
              aria-pressed={draft.clock["order"] === `"${order}"`}
              onClick={() => onDraft({ ...draft, clock: { ...draft.clock, order: `"${order}"` } })}
            >
              The order is {order.replaceAll("-", ", ")}
            </button>
          ))}
        </div>
      ) : null}
      {file.rows > 0 ? (
        <p>
          {file.rows} readings, {wall(file.first)} to {wall(file.last)}
          {offset ? ` (${offset})` : " by the logger's own clock"}, every {durationText(file.interval_s)}
          {file.gaps.count > 0
            ? `; ${file.gaps.count} gaps, the longest ${durationText(file.gaps.longest_s)}`
            : "; no gaps"}
          .
        </p>
      ) : null}
      {!offset || draft.clock["zone"] ? (
        <div class="row">
          <label>
            Time zone{" "}
            <input placeholder="America/Chicago" value={zone} onInput={(e) => setZone(e.currentTarget.value)} />
          </label>
          <button
            type="button"
            onClick={() => onDraft({ ...draft, clock: { ...draft.clock, zone: zone.trim() === "" ? "" : `"${zone.trim()}"` } })}
          >
            Use it
          </button>
        </div>
      ) : null}
    </div>
  );
}

interface Named {
  place: string;
  quantity: string;
  unit: string;
}

/** What a column is, said by hand. */
function ColumnEditor({ header, first, onUse, onBack }: { header: string; first: Named; onUse: (n: Named) => void; onBack: () => void }) {
  const [named, setNamed] = useState(first);
  const set = (change: Partial<Named>) => setNamed({ ...named, ...change });
  return (
    <div class="row">
      <input aria-label={`Place of ${header}`} list="places" size={11} value={named.place} placeholder="outdoor.1"
        onInput={(e) => set({ place: e.currentTarget.value })} />
      <select aria-label={`Quantity of ${header}`} value={named.quantity} onChange={(e) => set({ quantity: e.currentTarget.value })}>
        <option value="">what it measures</option>
        {(about.get()?.quantities ?? []).map((q) => (
          <option key={q.name} value={q.name}>{q.label}</option>
        ))}
      </select>
      <input aria-label={`Unit of ${header}`} list="column-units" size={8} value={named.unit} placeholder="unit"
        onInput={(e) => set({ unit: e.currentTarget.value })} />
      <button type="button" class="main" disabled={named.place.trim() === "" || named.quantity === ""} onClick={() => onUse(named)}>
        Use
      </button>
      <button type="button" onClick={onBack}>Back</button>
    </div>
  );
}

interface ColumnRow {
  column: SurveyColumn;
  proposal: SurveyProposal | undefined;
  draft: MapDraft;
  onDraft: (d: MapDraft) => void;
}

/** What a column is taken for; empty where that is open. */
function statusOf({ column, draft }: Pick<ColumnRow, "column" | "draft">): string {
  const chosen = draft.columns[column.header];
  if (column.role === "time" || column.role === "empty") return column.role;
  if (column.role === "channel") return column.channel ?? chosen?.channel ?? "";
  return chosen?.channel === "" ? "left out" : "";
}

/** What the editor begins with: what was chosen, what is understood, what is proposed. */
function firstOf({ column, proposal, draft }: ColumnRow): Named {
  const chosen = draft.columns[column.header];
  const proposed = /channel = "([^"]*)"/.exec(proposal?.toml ?? "")?.[1];
  const [place, quantity] = splitChannel(chosen?.channel || column.channel || proposed || "");
  return { place, quantity, unit: chosen?.unit || column.unit || /unit = "([^"]*)"/.exec(proposal?.toml ?? "")?.[1] || "" };
}

function ColumnActs({ row, status, onEdit }: { row: ColumnRow; status: string; onEdit: () => void }) {
  const { column, proposal, draft, onDraft } = row;
  const { header } = column;
  return (
    <div class="row tight">
      {status === "" && proposal && isUsable(proposal) ? (
        <button type="button" class="main" onClick={() => onDraft(accepted(draft, proposal))}>
          Yes<span class="hidden">, {header} {proposal.what}</span>
        </button>
      ) : null}
      <button type="button" onClick={onEdit}>
        {status === "" ? "It is …" : "Change"}
        <span class="hidden"> {header}</span>
      </button>
      {status === "left out" ? (
        <button type="button" onClick={() => onDraft(withoutColumn(draft, header))}>
          Take it after all<span class="hidden"> {header}</span>
        </button>
      ) : (
        <button type="button" class="quiet" onClick={() => onDraft(withColumn(draft, header, { channel: "", lines: [] }))}>
          Leave out<span class="hidden"> {header}</span>
        </button>
      )}
    </div>
  );
}

function Column(row: ColumnRow) {
  const { column, proposal, draft, onDraft } = row;
  const [editing, setEditing] = useState(false);
  const status = statusOf(row);
  const fixedRole = column.role === "time" || column.role === "empty";
  const use = ({ place, quantity, unit }: Named) => {
    setEditing(false);
    onDraft(withColumn(draft, column.header, { channel: `${place.trim()}.${quantity}`, unit: unit.trim() }));
  };
  return (
    <tr class={status === "" ? "open-column" : undefined}>
      <th scope="row">{column.header || `column ${column.position}`}</th>
      <td>{column.unit}</td>
      <td class="n">
        {column.lowest === undefined
          ? Object.keys(column.words ?? {}).slice(0, 3).join(", ")
          : `${asItStands(column.lowest)} … ${asItStands(column.highest)}`}
      </td>
      <td>
        {editing ? (
          <ColumnEditor header={column.header} first={firstOf(row)} onUse={use} onBack={() => setEditing(false)} />
        ) : status !== "" ? (
          <span class="is">{status}</span>
        ) : proposal ? (
          <>
            {proposal.what}? <Sure of={proposal.confidence} />
            <p class="soft">{proposal.evidence}</p>
          </>
        ) : (
          <span class="soft">not understood</span>
        )}
      </td>
      <td>{fixedRole || editing ? null : <ColumnActs row={row} status={status} onEdit={() => setEditing(true)} />}</td>
    </tr>
  );
}

function Further({ file, draft, onDraft }: OfFile) {
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
              <button type="button" onClick={() => onDraft(accepted(draft, p))}>
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
function Facts({ file, draft, onDraft }: OfFile) {
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
      <Further file={file} draft={draft} onDraft={onDraft} />
    </div>
  );
}

/** Every column, what is not understood on top. */
function Columns({ file, draft, onDraft }: OfFile) {
  const best = (header: string) =>
    file.proposals
      .filter((p) => p.kind === "channel" && p.column === header)
      .sort((a, b) => b.confidence - a.confidence)[0];
  const known = (c: SurveyColumn) => Number(c.role === "channel" || c.role === "time");
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
          {[...file.columns].sort((a, b) => known(a) - known(b)).map((c) => (
            <Column
              key={`${c.position} ${c.header} ${c.role} ${c.channel ?? ""}`}
              column={c}
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

function File({ file, draft, onDraft }: OfFile) {
  const understood = file.columns.filter((c) => c.role === "channel").length;
  const unknown = file.columns.filter((c) => c.role !== "channel" && c.role !== "time" && c.role !== "empty");
  const facts = <Facts file={file} draft={draft} onDraft={onDraft} />;
  return (
    <section class="survey">
      <h2>{file.file}</h2>
      {file.clock.error ? facts : null}
      <h3>
        Columns: {understood} understood
        {unknown.length > 0 ? `, ${unknown.length} not (or not wanted)` : ""}
      </h3>
      <Columns file={file} draft={draft} onDraft={onDraft} />
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
    const channel = /channel = "([^"]*)"/.exec(p.toml)?.[1];
    if (channel) add(channel);
  }
  return [...places].sort();
}

const usualUnits = ["degC", "degF", "K", "kPa(g)", "kPa(a)", "bar(g)", "psi(g)", "psi(a)", "MPa(g)", "Hz", "rpm", "%", "kW", "W", "A"];

/** What is in force in a sentence, and one yes to all that is likely. */
function Lead({ survey, draft, onDraft }: { survey: Survey; draft: MapDraft; onDraft: (d: MapDraft) => void }) {
  const probable = likely(survey.files, 0.75);
  const waiting = Object.keys(probable.columns).filter((h) => draft.columns[h] === undefined).length;
  const understood = understoodIn(survey);
  const open = survey.files.flatMap((f) => f.columns).filter((c) => statusOf({ column: c, draft }) === "").length;
  const yesToAll = () =>
    onDraft({
      columns: { ...probable.columns, ...draft.columns },
      clock: { ...probable.clock, ...draft.clock },
      shape: [...new Set([...probable.shape, ...draft.shape])],
    });
  return (
    <>
      <p class="lead">
        {understood === 0
          ? `No column is understood yet. ${waiting > 0 ? "Say yes to what is likely, or say" : "Say"} below what they are.`
          : `${understood} channels are understood${open === 0 ? "" : `; ${open} ${open === 1 ? "column is" : "columns are"} open, and what stands in ${open === 1 ? "it" : "them"} will not be judged`}.`}{" "}
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
      <p class="soft">What you decided, in the form that the command line takes with --map. It is kept with the recording.</p>
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

interface Props {
  survey: Survey;
  draft: MapDraft;
  intake: string;
  onDraft: (d: MapDraft) => void;
}

/** What reading the files has shown, and everything in it that can be corrected by clicking. */
export function Understood({ survey, draft, intake, onDraft }: Props) {
  return (
    <>
      <datalist id="places">{placesIn(survey).map((n) => <option key={n} value={n} />)}</datalist>
      <datalist id="column-units">{usualUnits.map((u) => <option key={u} value={u} />)}</datalist>
      <Lead survey={survey} draft={draft} onDraft={onDraft} />
      {survey.files.map((f) => <File key={f.file} file={f} draft={draft} onDraft={onDraft} />)}
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
