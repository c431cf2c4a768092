import { useState } from "preact/hooks";
import { failureOf, forget, sendJson } from "../api/client.ts";
import type { Failure, Options, RecordingInfo } from "../api/types.ts";
import { judgeAnew } from "../base/anew.ts";
import { note } from "../base/route.ts";
import { Trouble } from "./bits.tsx";
import { GiveSheet } from "./givesheet.tsx";
import { about } from "./session.ts";

const typed: readonly (readonly [keyof Options, string, string])[] = [
  ["altitude", "Altitude of the site", "for gauge pressures: 1600m, 5280ft"],
  ["barometer", "or barometer", "98.2kPa"],
  ["target", "Condensing target", "heating: 49C, 120F; left empty: from the log"],
];

/** What a person can say of machine and site beside the files: the flags of the command line. */
export function OptionFields({ options, onChange }: { options: Options; onChange: (o: Options) => void }) {
  const refrigerants = about.get()?.refrigerants ?? [];
  return (
    <div class="fields">
      <label>
        Refrigerant
        <select value={options.refrigerant ?? ""} onChange={(e) => onChange({ ...options, refrigerant: e.currentTarget.value })}>
          <option value="">as the system sheet says, else R-410A</option>
          {refrigerants.map((r) => (
            <option key={r}>{r}</option>
          ))}
        </select>
      </label>
      <label>
        Mode
        <select value={options.mode ?? ""} onChange={(e) => onChange({ ...options, mode: e.currentTarget.value })}>
          <option value="">as the log shows</option>
          <option value="heating">heating</option>
          <option value="cooling">cooling</option>
        </select>
      </label>
      {typed.map(([key, label, hint]) => (
        <label key={key}>
          {label}
          <input value={options[key] ?? ""} placeholder={hint}
            onChange={(e) => onChange({ ...options, [key]: e.currentTarget.value.trim() })} />
        </label>
      ))}
      <LimitFile limits={options.limits ?? ""} onChange={(limits) => onChange({ ...options, limits })} />
    </div>
  );
}

function LimitFile({ limits, onChange }: { limits: string; onChange: (limits: string) => void }) {
  return (
    <div>
      <label>
        Limit sheet of your own (TOML)
        <input type="file" accept=".toml,text/plain"
          onChange={async (e) => {
            const input = e.currentTarget;
            const text = await input.files?.[0]?.text();
            input.value = "";
            if (text !== undefined) onChange(text);
          }} />
      </label>
      {limits === "" ? null : (
        <button type="button" class="quiet small" onClick={() => onChange("")}>Back to the default limits</button>
      )}
    </div>
  );
}

/** Something that a verdict depends on is changed: judged anew once it is stored. */
function useChange(done: () => void): { error: Failure | undefined; change: (act: Promise<unknown>) => Promise<void> } {
  const [error, setError] = useState<Failure>();
  const change = (act: Promise<unknown>) =>
    act.then(
      () => {
        setError(undefined);
        forget("/api/recordings");
        done();
        judgeAnew.set(judgeAnew.get() + 1);
      },
      (e: unknown) => setError(failureOf(e)),
    );
  return { error, change };
}

/** Asks whether a machine heats or cools whose log does not show it. */
export function ModeQuestion({ info }: { info: RecordingInfo }) {
  const { error, change } = useChange(() => undefined);
  const say = (mode: string) => void change(sendJson("PUT", `/api/recordings/${info.id}/options`, { ...info.options, mode }));
  return (
    <>
      <div class="row">
        <strong>The log does not show whether the machine heats or cools. Do you know it?</strong>
        <button type="button" onClick={() => say("heating")}>It heats</button>
        <button type="button" onClick={() => say("cooling")}>It cools</button>
      </div>
      {error ? <Trouble error={error} /> : null}
    </>
  );
}

/** What a person can say of the machine and the site of a recording that is taken in; each change is judged anew. */
export function SiteOf({ info }: { info: RecordingInfo }) {
  const at = `/api/recordings/${info.id}`;
  // The page comes again with this part of it open, so that more can be said.
  const { error, change } = useChange(() => note({ site: "1" }));
  return (
    <>
      <p class="soft">
        {info.has_sheet
          ? "This recording has a system sheet: it says the refrigerant and the altitude unless they are said here, and more can be judged with it."
          : "With a system sheet of the machine more can be judged, and causes can be told apart."}{" "}
        Each change is judged anew.
      </p>
      <GiveSheet at={at} has={info.has_sheet} onDone={() => void change(Promise.resolve())} />
      <OptionFields options={info.options} onChange={(o) => void change(sendJson("PUT", `${at}/options`, o))} />
      {error ? <Trouble error={error} /> : null}
    </>
  );
}
