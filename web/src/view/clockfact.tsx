import { useState } from "preact/hooks";
import type { SurveyFile } from "../api/types.ts";
import { unquoted, withClock, type MapDraft } from "../base/mapdraft.ts";
import { durationText, instantText, isoMs } from "../base/time.ts";
import { fixed } from "../base/units.ts";
import { Fold } from "../part/bits.tsx";

export function Sure({ of }: { of: number }) {
  const word = of >= 0.9 ? "sure" : of >= 0.75 ? "likely" : of >= 0.5 ? "perhaps" : "a guess";
  return (
    <span class="sure">
      <meter min={0} max={1} value={of} aria-hidden="true" /> {word}, {fixed(100 * of, 0)} %
    </span>
  );
}

interface OfClock {
  file: SurveyFile;
  draft: MapDraft;
  onDraft: (d: MapDraft) => void;
}

/** Keys of the clock that are said as text, with what they are called and an example. */
const said: readonly (readonly [string, string, string])[] = [
  ["zone", "Time zone", "America/Chicago"],
  ["offset", "or hours from UTC", "-06:00"],
  ["start", "Date, or begin of a count", "2026-01-14 06:30"],
  ["shift", "The clock is off by", "-95 s"],
];

const orders = ["day-month-year", "month-day-year", "year-month-day"] as const;

/** What the clock is, said by hand: in force once "Use it" is pressed. */
function ClockFields({ file, draft, onDraft }: OfClock) {
  const now = (key: string) => unquoted(draft.clock[key] ?? "");
  const keys = ["column", "order", ...said.map(([key]) => key)];
  const [typed, setTyped] = useState(() => Object.fromEntries(keys.map((key) => [key, now(key)])));
  const set = (key: string, text: string) => setTyped({ ...typed, [key]: text });
  // Two columns together are a list: shown as they stand, changed by choosing one.
  const several = now("column").startsWith("[");
  const use = () => onDraft(keys.reduce((d, key) => (key === "column" && several && typed[key] === now(key) ? d : withClock(d, key, typed[key] ?? "")), draft));
  return (
    <div class="fields">
      <label>
        Column of the time
        <select value={typed["column"]} onChange={(e) => set("column", e.currentTarget.value)}>
          <option value="">as found</option>
          {several ? <option value={now("column")}>{now("column")}</option> : null}
          {file.columns.filter((c) => c.header !== "").map((c) => <option key={c.header} value={c.header}>{c.header}</option>)}
        </select>
      </label>
      <label>
        Order of the date
        <select value={typed["order"]} onChange={(e) => set("order", e.currentTarget.value)}>
          <option value="">as found</option>
          {orders.map((o) => <option key={o} value={o}>{o.replaceAll("-", ", ")}</option>)}
        </select>
      </label>
      {said.map(([key, label, example]) => (
        <label key={key}>
          {label}
          <input value={typed[key]} placeholder={example} onInput={(e) => set(key, e.currentTarget.value)} />
        </label>
      ))}
      <button type="button" onClick={use}>Use this clock</button>
    </div>
  );
}

/** How the times of a file were read, and what can be said of its clock. */
export function Times({ file, draft, onDraft }: OfClock) {
  const offset = /([+-]\d\d:\d\d|Z)$/.exec(file.first)?.[1];
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
          {orders.slice(0, 2).map((order) => (
            <button
              key={order}
              type="button"
              aria-pressed={draft.clock["order"] === `"${order}"`}
              onClick={() => onDraft(withClock(draft, "order", order))}
            >
              The order is {order.replaceAll("-", ", ")}
            </button>
          ))}
        </div>
      ) : null}
      {file.rows > 0 && file.clock.error ? <p>{file.rows} readings, their times not decided.</p> : null}
      {file.rows > 0 && !file.clock.error ? (
        <p>
          {file.rows} readings, {wall(file.first)} to {wall(file.last)}
          {offset ? ` (${offset})` : " by the logger's own clock"}
          {file.interval_s === null ? null : `, every ${durationText(file.interval_s)}`}
          {file.gaps.longest_s === null ? null : file.gaps.count
            ? `; ${file.gaps.count} gaps, the longest ${durationText(file.gaps.longest_s)}`
            : "; no gaps"}
          .
        </p>
      ) : null}
      <Fold title={<>Correct the clock<span class="hidden"> of {file.file}</span></>}>
        <ClockFields key={JSON.stringify(draft.clock)} file={file} draft={draft} onDraft={onDraft} />
      </Fold>
    </div>
  );
}
