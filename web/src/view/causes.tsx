import { useState } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { Cause, ChargeAnswer, DesignDay, Diagnosis, Point } from "../api/types.ts";
import { diagnosisAsk, percentText, pointText, probabilityText, ranked, type Ranked } from "../base/causes.ts";
import { useCell } from "../base/cell.ts";
import { address, linkTo, note } from "../base/route.ts";
import { durationText, instantText, isoMs } from "../base/time.ts";
import { withUnit } from "../base/fields.ts";
import { fixed } from "../base/units.ts";
import { Fold, List, Title, Trouble, Working } from "../part/bits.tsx";
import { OtherRecording } from "../part/otherrecording.tsx";
import { useRecording, useUnits } from "../part/session.ts";
import { Unlike } from "../part/unlike.tsx";
import { useWork } from "../part/work.ts";
import { placeWords } from "../base/names.ts";

/** A share as a length beside its number. */
function Bar({ share }: { share: number }) {
  return (
    <svg class="share-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect class="share-ground" width="100" height="10" />
      <rect width={100 * Math.min(1, Math.max(0, share))} height="10" />
    </svg>
  );
}

function Points({ title, points }: { title: string; points: readonly Point[] }) {
  const units = useUnits();
  if (points.length === 0) return null;
  return (
    <>
      <h3>{title}</h3>
      <ul>
        {points.map((p) => (
          <li key={p.what}>
            <strong>{p.what}</strong>: {pointText(p, units)}
          </li>
        ))}
      </ul>
    </>
  );
}

const mostAlike = 4;

/** The grounds of one cause. `said` already stands above what it means and what is to be done. */
function Why({ cause, said }: { cause: Cause; said: boolean }) {
  const alike = cause.cannot_be_told_from;
  return (
    <>
      {said ? null : <p class="soft">{cause.owner}</p>}
      <Points title="What speaks for it" points={cause.for} />
      <Points title="What speaks against it" points={cause.against} />
      {cause.checks.length > 0 ? <p>Findings of these checks fit: {cause.checks.map((c) => c.replaceAll("-", " ")).join(", ")}.</p> : null}
      {alike.length > 0 ? (
        <p>
          <strong>These readings cannot tell it from</strong> {alike.slice(0, mostAlike).join("; ")}
          {alike.length > mostAlike ? `; and ${alike.length - mostAlike} more` : ""}.
        </p>
      ) : null}
      {said ? null : (
        <p>
          <strong>Look:</strong> {cause.look}
        </p>
      )}
    </>
  );
}

function titleOf(cause: Cause): string {
  const title = cause.title.charAt(0).toUpperCase() + cause.title.slice(1);
  return cause.place === "system" ? title : `${title}, ${placeWords(cause.place)}`;
}

function Row({ row, open, said }: { row: Ranked; open: boolean; said: boolean }) {
  const { cause } = row;
  return (
    <li class="cause">
      <p class="cause-share">
        <strong>{probabilityText(row.probability)}</strong>
        <Bar share={row.probability} />
      </p>
      {cause ? (
        <div>
          <p>
            <strong class="cause-title">{titleOf(cause)}</strong>: {cause.severity_text}
          </p>
          <Fold title="Why, and what to look at" open={open}>
            <Why cause={cause} said={said} />
          </Fold>
        </div>
      ) : (
        <p>{row.text}</p>
      )}
    </li>
  );
}

function Next({ next }: { next: Diagnosis["next"] }) {
  if (next.length === 0) return null;
  return (
    <>
      <h2>What would tell more, the most for the effort first</h2>
      <ol class="next-tests">
        {next.map((t) => (
          <li key={`${t.test} ${t.place}`}>
            {t.place ? <strong>{placeWords(t.place)}: </strong> : null}
            {t.do} <span class="soft">About {durationText(t.effort_s)}; tells {fixed(t.information_bits, 2)} bit.</span>
          </li>
        ))}
      </ol>
    </>
  );
}

/** The charge as an interval beside what the sheet says. */
function ChargeScale({ charge }: { charge: ChargeAnswer }) {
  const { sheet_kg: sheet, kg, low_kg: low, high_kg: high } = charge;
  if (typeof kg !== "number" || typeof low !== "number" || typeof high !== "number") return null;
  const ends = [low, high, kg, ...(sheet ? [sheet] : [])];
  const [a, b] = [Math.min(...ends), Math.max(...ends)];
  const room = Math.max(0.15 * (b - a), 0.02 * b);
  const x = (v: number) => 10 + (580 * (v - a + room)) / (b - a + 2 * room);
  return (
    <svg class="charge-scale" viewBox="0 0 600 64" role="img" aria-label="The interval of the charge beside what the sheet says">
      <line class="charge-axis" x1="10" x2="590" y1="30" y2="30" />
      <rect x={x(low)} y="22" width={Math.max(2, x(high) - x(low))} height="16" />
      <line class="charge-best" x1={x(kg)} x2={x(kg)} y1="14" y2="46" />
      {sheet ? (
        <g class="charge-sheet">
          <line x1={x(sheet)} x2={x(sheet)} y1="8" y2="46" />
          <text x={Math.min(540, Math.max(60, x(sheet)))} y="60" text-anchor="middle">as on the sheet</text>
        </g>
      ) : null}
    </svg>
  );
}

function Refrigerant({ d }: { d: Diagnosis }) {
  const units = useUnits();
  if (!d.charge) return null;
  const { charge } = d;
  const mass = (kg: number | null | undefined) => units.text(kg, "mass", -1);
  return (
    <>
      <h2>Refrigerant</h2>
      <p class="charge-said">
        {charge.verdict === "estimated"
          ? `Charge ${mass(charge.kg)}, 90 % between ${mass(charge.low_kg)} and ${mass(charge.high_kg)}; the sheet says ${mass(charge.sheet_kg)}.`
          : `Charge unproven; the sheet says ${mass(charge.sheet_kg)}.`}{" "}
        <span class="soft">{charge.because}</span>
      </p>
      <ChargeScale charge={charge} />
      {d.inventory.length > 0 ? (
        <Fold title="Where it was at the end of the hours compared, by the twin">
          <table class="inventory">
            <thead>
              <tr>
                <th scope="col">Part</th>
                <th scope="col" class="n">Refrigerant</th>
                <th scope="col" class="n">90 % between</th>
              </tr>
            </thead>
            <tbody>
              {d.inventory.map((s) => (
                <tr key={s.part}>
                  <th scope="row">{s.part}</th>
                  <td class="n">{mass(s.kg)}</td>
                  <td class="n">{mass(s.low_kg)} and {mass(s.high_kg)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Fold>
      ) : null}
    </>
  );
}

function dayRow(day: DesignDay, units: ReturnType<typeof useUnits>): string[] {
  if (day.verdict !== "calculated") return ["unproven: the twin finds no steady state there", "", "", ""];
  const share = day.machine === "fitted" && day.healthy_capacity_W ? ` (${percentText((day.capacity_W ?? 0) / day.healthy_capacity_W)} of healthy)` : "";
  const level = day.accumulator_level ?? 0;
  return [
    units.text(day.capacity_W, "power") + share,
    `${units.text(day.discharge_temperature, "temperature")}, slows down at ${units.text(day.discharge_limit, "temperature")}`,
    level > 1 ? "overflows: liquid reaches the compressor" : `${fixed(100 * level, 0)} % full`,
    day.slowed_by_a_limit ? "yes" : "no",
  ];
}

function Days({ d }: { d: Diagnosis }) {
  const units = useUnits();
  const first = d.design_days[0];
  if (!first) return null;
  const machine = first.machine === "fitted" ? "as the machine is now" : d.generic ? "a sound machine of this size" : "a sound machine as the sheet says";
  return (
    <>
      <h2>On the design days, {machine}, all units calling</h2>
      <div tabIndex={0} class="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">Day</th>
              <th scope="col">Capacity</th>
              <th scope="col">Discharge</th>
              <th scope="col">Accumulator</th>
              <th scope="col">A limit slows it down</th>
            </tr>
          </thead>
          <tbody>
            {d.design_days.map((day) => (
              <tr key={day.mode}>
                <th scope="row">{day.mode} at {units.text(day.outdoor_temperature, "temperature")}</th>
                {dayRow(day, units).map((text, i) => <td key={i}>{text}</td>)}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <DayFields />
    </>
  );
}

/** Other design days than the usual ones; the address keeps them. */
function DayFields() {
  const units = useUnits();
  const { coldest = "", hottest = "" } = useCell(address).ask;
  const [typed, setTyped] = useState({ coldest, hottest });
  const unit = units.system === "ip" ? "degF" : "degC";
  const days = { coldest: withUnit({ text: typed.coldest, unit }), hottest: withUnit({ text: typed.hottest, unit }) };
  const same = days.coldest === coldest && days.hottest === hottest;
  return (
    <form class="row day-fields" onSubmit={(e) => {
      e.preventDefault();
      note(days);
    }}>
      {(["coldest", "hottest"] as const).map((key) => (
        <label key={key}>
          {key === "coldest" ? "Coldest day here" : "Hottest day here"}{" "}
          <input size={9} value={typed[key]} placeholder={key === "coldest" ? units.text(258.15, "temperature") : units.text(308.15, "temperature")}
            onInput={(e) => setTyped({ ...typed, [key]: e.currentTarget.value })} />
        </label>
      ))}
      <button type="submit" disabled={same}>Work these days out</button>
    </form>
  );
}

function RestsOn({ d }: { d: Diagnosis }) {
  const units = useUnits();
  const { channels } = useRecording();
  return (
    <>
      <h2>What this rests on</h2>
      <p>{d.readings} readings, compared in these stretches:</p>
      <ul>
        {d.moments.map((m) => {
          const [from, to] = [isoMs(m.start), isoMs(m.end)];
          return (
            <li key={m.start}>
              <a class="roomy" href={linkTo("time", { from: String(from), to: String(to), t: String(from) })}>
                {instantText(from, channels.clock)} for {durationText((to - from) / 1000)}
              </a>
              : {m.phase}, {units.text(m.outdoor_temperature, "temperature")} outdoors, {m.units_calling} units calling
            </li>
          );
        })}
      </ul>
      <List of={d.rests_on} />
    </>
  );
}

function Told({ d }: { d: Diagnosis }) {
  if (d.unproven) {
    return (
      <>
        <p class="lead">{d.unproven.charAt(0).toUpperCase() + d.unproven.slice(1)}</p>
        <List of={d.notes} />
      </>
    );
  }
  const rows = ranked(d);
  const first = rows.find((r) => r.cause);
  const acting = d.named === null ? undefined : d.causes[0];
  return (
    <>
      {acting ? (
        <p class="lead">
          {acting.owner} {acting.look}
        </p>
      ) : null}
      <h2>Causes, by probability</h2>
      <ol class="causes">
        {rows.map((row) => <Row key={row.key} row={row} open={row === first} said={acting !== undefined && row.cause === acting} />)}
      </ol>
      {d.two_at_once.length > 0 ? (
        <p>
          Of these, two at once: {d.two_at_once.map((p) => `${p.first} and ${p.second}, ${probabilityText(p.probability)}`).join("; ")}.
        </p>
      ) : null}
      <Next next={d.next} />
      <Refrigerant d={d} />
      <Days d={d} />
      <RestsOn d={d} />
    </>
  );
}

/** The ranking with what was asked beside it; `work` can be cancelled and tried again. */
function useDiagnosis() {
  const { info } = useRecording();
  const units = useUnits();
  const asked = diagnosisAsk(useCell(address).ask);
  const at = `/api/recordings/${info.id}/diagnosis`;
  const work = useWork(at, JSON.stringify(asked));
  const query = new URLSearchParams({ units: units.system, ...asked });
  const { data, error } = useJson<Diagnosis>(work.done ? `${at}?${query}` : null);
  return { data, failed: work.error ?? error, work };
}

/** Why: causes ranked by what the twin says each would do, as `coilwright diagnose` says it. */
export function CausesView() {
  const { info } = useRecording();
  const sound = useCell(address).ask["sound"] ?? "";
  const { data, failed, work } = useDiagnosis();
  return (
    <article>
      <Title>
        <span class="kicker">What is probably behind it?</span>
        {data ? <span class="answer diagnosis-answer">{data.unproven ? "Unproven" : data.answer}</span> : <span class="answer">Causes</span>}
      </Title>
      <div class="row">
        <OtherRecording value={sound} none="no such recording" onPick={(id) => note({ sound: id })}>
          The same machine when it was sound
        </OtherRecording>
        <span class="soft">The calmest hours of the recording beside a calculated twin of the machine: healthy, and with each fault. No measurement of the cause itself.</span>
      </div>
      {sound === "" ? null : <Unlike other={sound} oneSheet />}
      {info.has_sheet ? null : (
        <p class="warn">
          This recording has no system sheet: a generic machine stands in, and only what is far off can be told.{" "}
          <a href={linkTo("verdict", { site: "1" })}>Give it a sheet</a>
        </p>
      )}
      {failed ? (
        <Trouble error={failed}>
          <p><button type="button" onClick={work.again}>Try again</button></p>
          {/design day/.test(failed.message) ? <DayFields /> : null}
        </Trouble>
      ) : null}
      {work.cancelled ? (
        <p>
          Not looked for. <button type="button" class="main" onClick={work.again}>Look for causes</button>
        </p>
      ) : null}
      {data ? <Told d={data} /> : failed || work.cancelled ? null : (
        <Working progress={work.progress ?? { fraction: null, what: "Looking for causes" }} onCancel={work.cancel} />
      )}
      {data ? (
        <aside class="cautions" aria-label="Before you rely on it">
          <List of={data.cautions} />
        </aside>
      ) : null}
    </article>
  );
}
