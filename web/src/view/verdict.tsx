import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { Check, VerdictJson } from "../api/types.ts";
import { behind, findingKey, grouped, sceneOf, troubles, withoutWord, type Said } from "../base/findings.ts";
import { useCell } from "../base/cell.ts";
import { wanting, type Wanting } from "../base/missing.ts";
import { placeWords } from "../base/names.ts";
import { address, linkTo } from "../base/route.ts";
import { durationText, instantText } from "../base/time.ts";
import { Fold, List, Mark, Title, Trouble, Working } from "../part/bits.tsx";
import { SetAside } from "../part/setaside.tsx";
import { ModeQuestion, SiteOf } from "../part/site.tsx";
import { about, useRecording, useUnits } from "../part/session.ts";

function ShowWhen({ check }: { check: Check }) {
  const { channels } = useRecording();
  const scene = sceneOf(check, channels.start_ms, channels.end_ms);
  if (!scene) return null;
  return (
    <a
      class="button"
      href={linkTo("time", {
        show: findingKey(check),
        ch: scene.channels.join(","),
        from: String(Math.round(scene.from)),
        to: String(Math.round(scene.to)),
        t: String(Math.round(scene.at)),
      })}
    >
      Show on the time line
      <span class="hidden">: {placeWords(check.place)}</span>
    </a>
  );
}

function Wrong({ said, follows = [] }: { said: Said; follows?: readonly Said[] }) {
  const id = useId();
  return (
    <li class={`finding finding-${said.verdict}`}>
      <Mark of={said.verdict} />
      <p>{withoutWord(said)}</p>
      {said.checks.slice(0, 4).map((check) => (
        <ShowWhen key={findingKey(check)} check={check} />
      ))}
      {follows.length === 0 ? null : (
        <div class="follows">
          <h3 id={id}>What most likely follows from it</h3>
          <ol class="findings" aria-labelledby={id}>
            {follows.map((f) => <Wrong key={f.sentence} said={f} />)}
          </ol>
        </div>
      )}
    </li>
  );
}

function Open({ said }: { said: Said }) {
  return (
    <li class="finding finding-unproven">
      <Mark of="unproven" />
      <p>{withoutWord(said)}</p>
    </li>
  );
}

function AllChecks({ verdict }: { verdict: VerdictJson }) {
  return (
    <div tabIndex={0} class="wide-table">
      <table>
        <thead>
          <tr>
            <th scope="col">Check</th>
            <th scope="col">Where</th>
            <th scope="col">Verdict</th>
            <th scope="col">Because</th>
          </tr>
        </thead>
        {grouped(verdict.checks).map((group) => (
          <tbody key={group.id}>
            {group.checks.map((check, i) => (
              <tr key={findingKey(check)}>
                <th scope="row">{i === 0 ? group.title : <span class="hidden">{group.title}</span>}</th>
                <td>{placeWords(check.place)}</td>
                <td>
                  <Mark of={check.verdict} />
                </td>
                <td>
                  {check.because}
                  {check.proof ? <p class="soft">What would prove it: {check.proof}</p> : null}
                  {check.verdict === "ok" || check.verdict === "unproven" ? null : <ShowWhen check={check} />}
                </td>
              </tr>
            ))}
          </tbody>
        ))}
      </table>
    </div>
  );
}

function Limits({ verdict }: { verdict: VerdictJson }) {
  return (
    <div tabIndex={0} class="wide-table">
      <table>
        <thead>
          <tr>
            <th scope="col">Figure</th>
            <th scope="col">Value</th>
            <th scope="col">Source</th>
            <th scope="col">Note</th>
          </tr>
        </thead>
        <tbody>
          {verdict.limits.figures.map((f) => (
            <tr key={f.key}>
              <th scope="row">{f.key.replaceAll(/[._]/g, " ")}</th>
              <td>
                {f.text}
                {f.overridden ? " (changed)" : ""}
              </td>
              <td>{f.source}</td>
              <td>{f.note}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Findings<T>({ none, of, children }: { none: string; of: readonly T[]; children: (one: T) => ComponentChildren }) {
  return of.length === 0 ? <p>{none}</p> : <ol class="findings">{of.map(children)}</ol>;
}

/** What the recording is, in a line. */
function Of({ verdict }: { verdict: VerdictJson }) {
  const { info, channels } = useRecording();
  const { start_ms: start, end_ms: end, clock } = channels;
  return (
    <p class="soft">
      {info.name}: {verdict.span.rows.toLocaleString("en").replaceAll(",", "\u202f")} readings of{" "}
      {channels.channels.filter((c) => !c.derived).length} channels over {durationText((end - start) / 1000)},{" "}
      {instantText(start, clock)} to {instantText(end, clock)}
      {clock.kind === "unstated" ? " by the logger's own clock" : ""}.
    </p>
  );
}

const named = 8;

/** "a, b and 3 more" */
function some(all: readonly string[]): string {
  return all.slice(0, named).join(", ") + (all.length > named ? ` and ${all.length - named} more` : "");
}

/** What is missing, by how much hangs on it. */
function Missing({ of }: { of: readonly Wanting[] }) {
  return (
    <ul class="missing">
      {of.slice(0, named).map((w) => (
        <li key={w.label}>
          <strong>{w.label}</strong>{w.places.length > 0 ? ` of ${some(w.places)}` : ""}: {w.checks === 1 ? "1 judgement waits" : `${w.checks} judgements wait`} for it
        </li>
      ))}
    </ul>
  );
}

/** What a person can do at once so that more can be judged; nothing where all is there. */
function MoreToSay({ verdict }: { verdict: VerdictJson }) {
  const { info, phases } = useRecording();
  // "file: header"; one file need not be named.
  const single = verdict.recordings.length === 1;
  const columns = verdict.quality.columns_not_understood.map((c) => (single ? c.slice(c.indexOf(": ") + 2) : c));
  const blind = phases.system.every((p) => p.phase === "unknown") && !info.options.mode;
  const missing = wanting(verdict.checks, about.get()?.quantities ?? []);
  if (!blind && columns.length === 0 && missing.length === 0) return null;
  return (
    <div class="more-to-say" role="note">
      {blind ? <ModeQuestion info={info} /> : null}
      {columns.length === 0 ? null : (
        <p>
          <strong>{columns.length === 1 ? "One column was" : `${columns.length} columns were`} not understood or not wanted</strong>, and
          what {columns.length === 1 ? "it holds" : "they hold"} was not judged: {some(columns)}.
        </p>
      )}
      {missing.length === 0 ? null : (
        <>
          <p>No column is understood as these, the first of several where another would do:</p>
          <Missing of={missing} />
        </>
      )}
      {columns.length > 0 ? (
        <p>
          <a class="button main" href={linkTo("columns")}>Name the columns</a>
        </p>
      ) : missing.length > 0 ? (
        <p>
          Every column of the files is named already: these readings are not in them.{" "}
          <a href={linkTo("columns")}>Look at what was understood</a>
        </p>
      ) : null}
    </div>
  );
}

/** What the verdict rests on, folded away. */
function Grounds({ verdict }: { verdict: VerdictJson }) {
  const { info } = useRecording();
  const site = useCell(address).ask["site"] === "1";
  return (
    <>
      <Fold title={`Machine and site: ${info.has_sheet ? "with a system sheet" : "no system sheet yet"}`} open={site}>
        <SiteOf info={info} />
        <List of={verdict.system?.lines ?? []} />
      </Fold>
      <Fold title={`What was understood: ${verdict.quality.columns_understood.length} columns`}>
        <p>
          {verdict.quality.columns_not_understood.length === 0
            ? "Every other column is the clock, or empty."
            : `Not understood or not wanted: ${some(verdict.quality.columns_not_understood)}.`}{" "}
          Channels, units, places, clock and refrigerant can be corrected at any time; the files stay as they came.
        </p>
        <p>
          <a class="button" href={linkTo("columns")}>Correct what was understood</a>
        </p>
      </Fold>
      <Fold title={`Every check (${verdict.checks.length} judgements)`}>
        <AllChecks verdict={verdict} />
      </Fold>
      <Fold title={`What was assumed (${verdict.assumptions.length + verdict.notes.length})`}>
        <List of={[...verdict.assumptions, ...verdict.notes]} none="Nothing." />
      </Fold>
      <Fold title="What was set aside in the files">
        <SetAside counters={verdict.quality.counters} rejects={verdict.quality.rejects} />
      </Fold>
      <Fold title={`Limits in force: sheet “${verdict.limits.sheet}”`}>
        <Limits verdict={verdict} />
      </Fold>
      <p class="soft">
        {verdict.program.name} {verdict.program.version};{" "}
        {verdict.recordings.map((r) => `${r.file} (${r.hash})`).join(", ")}. The same inputs, limits and version give the
        same verdict.
      </p>
    </>
  );
}

export function VerdictView() {
  const { info } = useRecording();
  const units = useUnits();
  const { data, error } = useJson<VerdictJson>(`/api/recordings/${info.id}/verdict?units=${units.system}`);
  if (error) return <Trouble error={error} />;
  if (!data) return <Working progress={{ fraction: null, what: "Judging the recording" }} />;
  const wrong = troubles(data.answers.wrong_by_root, data.checks);
  const open = behind(data.answers.not_judged, data.checks, ["unproven"]);
  return (
    <article>
      <Title>
        <span class="kicker">Is it healthy?</span>
        <span class="answer">
          <Mark of={data.verdict} /> {data.answers.healthy}
        </span>
      </Title>
      <Of verdict={data} />
      <h2>What is wrong, and where?</h2>
      <Findings none="Nothing that this log shows." of={wrong}>
        {(trouble) => <Wrong key={trouble.root.sentence} said={trouble.root} follows={trouble.follows} />}
      </Findings>
      {wrong.length === 0 ? null : (
        <p>
          <a class="button" href={linkTo("causes")}>What is probably behind it?</a>
        </p>
      )}
      <h2>What could not be judged, and what would prove it?</h2>
      {open.length === 0 ? null : <MoreToSay verdict={data} />}
      <Findings none="Nothing: every main question had what it needs." of={open}>
        {(said) => <Open key={said.sentence} said={said} />}
      </Findings>
      <aside class="cautions" aria-label="Before you rely on it">
        <List of={data.cautions} />
      </aside>
      <Grounds verdict={data} />
    </article>
  );
}
