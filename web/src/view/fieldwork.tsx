import { useRef, useState } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { Failure, Field, FieldSheet, Procedure, RecordingInfo } from "../api/types.ts";
import { Cell, useCell } from "../base/cell.ts";
import { address, linkTo, note } from "../base/route.ts";
import { fieldKinds, withUnit } from "../base/fields.ts";
import { stillWorking, useAnswer, type Told } from "../part/answer.ts";
import { Fold, List, Title, Trouble, Working, saveText } from "../part/bits.tsx";
import { keepSheet, Paper } from "../part/paper.tsx";
import { useUnits } from "../part/session.ts";
import { FewReadings } from "./fewreadings.tsx";

interface Entry {
  text: string;
  unit: string;
}
type Answers = Record<string, Entry[]>;
type Files = Record<string, { name: string; text: string }>;
interface Filled {
  answers: Answers;
  switches: Record<string, boolean>;
  files: Files;
}

/** What was typed, by procedure; it stays when another view is looked at. */
const filled = new Map<string, Cell<Filled>>();
function filledOf(name: string): Cell<Filled> {
  let cell = filled.get(name);
  if (!cell) {
    cell = new Cell<Filled>({ answers: {}, switches: {}, files: {} });
    filled.set(name, cell);
  }
  return cell;
}

interface Result {
  sheet: FieldSheet & { title?: string };
  paper: string;
}

/** Does the sheet of the opened recording answer for the system? */
function borrowsSheet(procedure: Procedure, f: Filled, recording: string | undefined): boolean {
  return recording !== undefined && procedure.fields.some((x) => x.name === "system") && !f.files["system"];
}

function bodyOf(procedure: Procedure, f: Filled, units: string, recording: string | undefined): Record<string, unknown> | null {
  const answers: Record<string, unknown> = {};
  for (const field of procedure.fields) {
    if (field.kind === "switch") {
      if (f.switches[field.name]) answers[field.name] = true;
      continue;
    }
    const typed = (f.answers[field.name] ?? []).map((t) => (field.units.length > 0 ? withUnit(t, field.repeatable) : t.text.trim())).filter((t) => t !== "");
    if (typed.length === 0) continue;
    answers[field.name] = field.repeatable ? typed : typed[0];
  }
  const useRecording = borrowsSheet(procedure, f, recording);
  if (Object.keys(answers).length === 0 && Object.keys(f.files).length === 0 && !useRecording) return null;
  return {
    units,
    answers,
    ...(Object.keys(f.files).length > 0 ? { files: f.files } : {}),
    ...(useRecording ? { recording } : {}),
  };
}

function Quantity({ field, entry, onChange, label }: { field: Field; entry: Entry; onChange: (e: Entry) => void; label: string }) {
  const units = useUnits();
  const choices = field.units;
  const preferred = fieldKinds(choices, units.system);
  const unit = entry.unit || preferred;
  if (field.choices.length > 0) {
    return (
      <select aria-label={label} value={entry.text} onChange={(e) => onChange({ text: e.currentTarget.value, unit: "" })}>
        <option value="">not said</option>
        {field.choices.map((c) => <option key={c}>{c}</option>)}
      </select>
    );
  }
  return (
    <span class="quantity">
      <input aria-label={label} type={field.kind === "day" ? "date" : "text"} value={entry.text} placeholder={choices.length === 0 ? field.value_name.toLowerCase() : ""}
        onInput={(e) => onChange({ text: e.currentTarget.value, unit: choices.length > 0 ? unit : "" })} />
      {choices.length > 1 ? (
        <select aria-label={`Unit of ${label}`} value={unit} onChange={(e) => onChange({ ...entry, unit: e.currentTarget.value })}>
          {choices.map((u) => <option key={u}>{u}</option>)}
        </select>
      ) : choices.length === 1 ? <span>{choices[0]}</span> : null}
    </span>
  );
}

function FieldRow({ field, cell, error }: { field: Field; cell: Cell<Filled>; error: Failure | undefined }) {
  const f = useCell(cell);
  const label = field.name.replaceAll("-", " ");
  const title = label.charAt(0).toUpperCase() + label.slice(1);
  const entries = f.answers[field.name] ?? [{ text: "", unit: "" }];
  const change = (i: number, entry: Entry) => {
    const next = [...entries];
    next[i] = entry;
    cell.set({ ...f, answers: { ...f.answers, [field.name]: next } });
  };
  const bad = error?.where === `--${field.name}`;
  const help = `help-${field.name}`;
  if (field.kind === "switch") {
    return (
      <div class="field">
        <label class="tick">
          <input type="checkbox" checked={f.switches[field.name] ?? false}
            onChange={(e) => cell.set({ ...f, switches: { ...f.switches, [field.name]: e.currentTarget.checked } })} />
          {title}
        </label>
        <p class="soft" id={help}>{field.help}</p>
      </div>
    );
  }
  if (field.kind === "file") {
    const file = f.files[field.name];
    return (
      <div class="field">
        <label>
          {title}{" "}
          <input type="file" onChange={async (e) => {
            const picked = e.currentTarget.files?.[0];
            const files = { ...cell.get().files };
            if (picked) files[field.name] = { name: picked.name, text: await picked.text() };
            else delete files[field.name];
            cell.set({ ...cell.get(), files });
          }} />
        </label>
        <p class="soft">{file ? `${file.name}. ` : ""}{field.help}</p>
        {bad ? <p class="warn">{error?.message}</p> : null}
      </div>
    );
  }
  return (
    <div class={bad ? "field field-bad" : "field"}>
      <span class="field-name">{title}</span>
      {entries.map((entry, i) => (
        <Quantity key={i} field={field} entry={entry} label={entries.length > 1 ? `${title} ${i + 1}` : title} onChange={(e) => change(i, e)} />
      ))}
      {field.repeatable ? (
        <button type="button" class="quiet small" onClick={() => cell.set({ ...f, answers: { ...f.answers, [field.name]: [...entries, { text: "", unit: entries.at(-1)?.unit ?? "" }] } })}>
          One more<span class="hidden"> {title}</span>
        </button>
      ) : null}
      <p class="soft" id={help}>{field.help}</p>
      {bad ? <p class="warn" role="alert">{error?.message}. {error?.fix}</p> : null}
    </div>
  );
}

/** Result of what is typed. */
function useResult(procedure: Procedure, f: Filled): Told<Result> & { empty: boolean; borrowed: boolean } {
  const units = useUnits();
  const id = useCell(address).ask["r"];
  const info = useJson<RecordingInfo>(id === undefined ? null : `/api/recordings/${id}`).data;
  const recording = info?.has_sheet ? id : undefined;
  const body = bodyOf(procedure, f, units.system, recording);
  const told = useAnswer<Result>(`/api/fieldwork/${procedure.name}`, body === null ? "" : JSON.stringify(body));
  return { ...told, empty: body === null, borrowed: borrowsSheet(procedure, f, recording) };
}

function Form({ procedure }: { procedure: Procedure }) {
  const cell = filledOf(procedure.name);
  const f = useCell(cell);
  const { answer, error, slow, empty, borrowed } = useResult(procedure, f);
  const result = error ? undefined : answer;
  const print = useRef<() => void>();
  const [kept, setKept] = useState("");
  const first = procedure.fields.filter((x) => x.asked);
  const shown = first.length > 0 ? first : procedure.fields.slice(0, 6);
  const rest = procedure.fields.filter((x) => !shown.includes(x));
  const placed = error && procedure.fields.some((x) => error.where === `--${x.name}`);
  const used = rest.some((x) => (f.answers[x.name] ?? []).some((e) => e.text !== "") || f.switches[x.name] || f.files[x.name]);
  return (
    <div class="beside field-work">
      <section class="panel" aria-label="What was measured">
        {borrowed ? <p class="soft">The system sheet of the opened recording is used, until another one is chosen here.</p> : null}
        {shown.map((x) => <FieldRow key={x.name} field={x} cell={cell} error={error} />)}
        {rest.length > 0 ? (
          <Fold title={`More that can be said (${rest.length})`} open={used}>
            {rest.map((x) => <FieldRow key={x.name} field={x} cell={cell} error={error} />)}
          </Fold>
        ) : null}
        <button type="button" class="quiet" onClick={() => cell.set({ answers: {}, switches: {}, files: {} })}>Clear the form</button>
      </section>
      <section aria-label="Result" aria-live="polite">
        {empty ? <p class="soft">The result appears here as you type.</p> : null}
        {slow ? <p class="soft">{stillWorking}</p> : null}
        {error && !placed ? <Trouble error={error} /> : null}
        {error && placed ? <p class="warn">Not yet: {error.message}.</p> : null}
        {result ? (
          <>
            {result.sheet.verdict ? <p class="field-verdict">{result.sheet.verdict}</p> : null}
            <List of={result.sheet.because} />
            <div class="row">
              <button type="button" class="main" onClick={() => print.current?.()}>Print the sheet</button>
              <button type="button" onClick={() => saveText(`${procedure.name}.html`, "text/html", result.paper)}>Save the sheet</button>
              <button type="button" onClick={() => {
                keepSheet({ key: procedure.name, title: procedure.title, html: result.paper });
                setKept(result.paper);
              }}>
                {kept === result.paper ? "Is in the report" : "Put it into the report"}
              </button>
            </div>
            <Paper html={result.paper} title={`Sheet: ${procedure.title}`} onFrame={(p) => (print.current = p)} />
          </>
        ) : null}
      </section>
    </div>
  );
}

export function FieldworkView() {
  const now = useCell(address);
  const { data, error } = useJson<{ procedures: Procedure[] }>("/api/fieldwork");
  if (error) return <Trouble error={error} />;
  if (!data) return <Working />;
  const picked = data.procedures.find((p) => p.name === now.ask["p"]);
  if (now.ask["p"] === "readings") return <FewReadings />;
  return (
    <article>
      <Title>{picked ? picked.title : "Fieldwork"}</Title>
      {picked ? (
        <>
          <p><a class="button" href={linkTo("fieldwork")}>All procedures</a></p>
          <Form key={picked.name} procedure={picked} />
        </>
      ) : (
        <ul class="procedures">
          <li>
            <button type="button" onClick={() => note({ p: "readings" })}>A verdict from a few readings, without a log</button>
          </li>
          {data.procedures.map((p) => (
            <li key={p.name}>
              <button type="button" onClick={() => note({ p: p.name })}>{p.title}</button>
            </li>
          ))}
        </ul>
      )}
    </article>
  );
}
