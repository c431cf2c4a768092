import { useEffect, useRef, useState } from "preact/hooks";
import { cancelJob, failureOf, forget, send, sendJson } from "../api/client.ts";
import type { Failure, Options, Progress, Survey } from "../api/types.ts";
import { useCell } from "../base/cell.ts";
import { emptyDraft, headersKey, mapText, type MapDraft } from "../base/mapdraft.ts";
import { address, go, note } from "../base/route.ts";
import { Fold, Title, Trouble, Working } from "../part/bits.tsx";
import { about } from "../part/session.ts";
import { flatNames } from "../base/names.ts";
import { droppedFiles, newIntake, putMap, survey, takeIn, upload, type Work } from "./intake.ts";
import { bytesText } from "./recordings.tsx";
import { Understood } from "./understood.tsx";

const keptPlace = "coilwright.maps";

/** Maps that were corrected here before, by the headers that they are for. */
function keptMaps(): Record<string, MapDraft> {
  try {
    return JSON.parse(localStorage.getItem(keptPlace) ?? "{}") as Record<string, MapDraft>;
  } catch {
    return {};
  }
}

function keepMap(key: string, draft: MapDraft): void {
  try {
    const all = { ...keptMaps(), [key]: draft };
    const latest = Object.entries(all).slice(-30);
    localStorage.setItem(keptPlace, JSON.stringify(Object.fromEntries(latest)));
  } catch {
    // A browser that keeps nothing: the recording itself keeps its map all the same.
  }
}

type State =
  | { step: "wait" }
  | { step: "busy"; progress: Progress; cancel: () => void }
  | { step: "look"; survey: Survey };

function DropPlace({ onFiles }: { onFiles: (files: { file: File; path: string }[]) => void }) {
  const [over, setOver] = useState(false);
  const files = useRef<HTMLInputElement>(null);
  const folder = useRef<HTMLInputElement>(null);
  const limit = about.get()?.upload_limit;
  useEffect(() => folder.current?.setAttribute("webkitdirectory", ""), []);
  const picked = (input: HTMLInputElement) => {
    onFiles([...(input.files ?? [])].map((file) => ({ file, path: file.webkitRelativePath || file.name })));
    input.value = "";
  };
  return (
    <section
      class={over ? "drop drop-over" : "drop"}
      aria-label="Bring a recording in"
      onDragOver={(e) => {
        e.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(e) => {
        e.preventDefault();
        setOver(false);
        if (e.dataTransfer) void droppedFiles(e.dataTransfer).then(onFiles);
      }}
    >
      <p>
        <strong>Drop a log here</strong>, or a folder of them: anything with times and numbers in it. Several files of
        one machine are joined on time.
      </p>
      <div class="row">
        <button type="button" class="main" onClick={() => files.current?.click()}>
          Choose files
        </button>
        <button type="button" onClick={() => folder.current?.click()}>
          Choose a folder
        </button>
        <span class="soft">{limit ? `Up to ${bytesText(limit)}. ` : ""}Nothing leaves this machine.</span>
      </div>
      <input ref={files} class="hidden" type="file" multiple tabIndex={-1} aria-label="Files of a recording"
        onChange={(e) => picked(e.currentTarget)} />
      <input ref={folder} class="hidden" type="file" multiple tabIndex={-1} aria-label="Folder of a recording"
        onChange={(e) => picked(e.currentTarget)} />
    </section>
  );
}

const optionFields: readonly (readonly [keyof Options, string, string])[] = [
  ["altitude", "Altitude of the site", "for gauge pressures: 1600m, 5280ft"],
  ["barometer", "or barometer", "98.2kPa"],
  ["target", "Condensing target", "heating: 49C, 120F; left empty: from the log"],
];

function Site({ options, onChange }: { options: Options; onChange: (o: Options) => void }) {
  const refrigerants = about.get()?.refrigerants ?? [];
  return (
    <Fold title="Machine and site, where the log does not say">
      <div class="fields">
        <label>
          Refrigerant
          <select value={options.refrigerant ?? ""} onChange={(e) => onChange({ ...options, refrigerant: e.currentTarget.value })}>
            <option value="">as the log says, else R-410A</option>
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
        {optionFields.map(([key, label, hint]) => (
          <label key={key}>
            {label}
            <input
              value={options[key] ?? ""}
              placeholder={hint}
              onChange={(e) => onChange({ ...options, [key]: e.currentTarget.value.trim() })}
            />
          </label>
        ))}
      </div>
    </Fold>
  );
}

/** From dropped files to a recording that is taken in. The address holds the intake while it is looked at. */
export function BringIn() {
  const intake = useCell(address).ask["in"];
  const [state, setState] = useState<State>({ step: "wait" });
  const [error, setError] = useState<Failure>();
  const [draft, setDraft] = useState<MapDraft>(emptyDraft);
  const [options, setOptions] = useState<Options>({});
  const [name, setName] = useState("");

  const fail = (e: unknown) => {
    const failure = failureOf(e);
    if (failure.code !== "cancelled") setError(failure);
  };
  const busy = (work: Work, progress: Progress) =>
    setState({
      step: "busy",
      progress,
      cancel: () => {
        work.cancelled = true;
        if (work.job) void cancelJob(work.job);
      },
    });

  const look = async (id: string, known?: MapDraft) => {
    const work: Work = { cancelled: false };
    busy(work, { fraction: null, what: "Looking at the files" });
    try {
      const found = await survey(id, work, (p) => busy(work, p));
      setState({ step: "look", survey: found });
      const before = keptMaps()[headersKey(found.files)];
      if (known === undefined && before) {
        setDraft(before);
        await putMap(id, mapText(before));
        await look(id, before);
      }
    } catch (e) {
      setState({ step: "wait" });
      if (failureOf(e).code === "cancelled") await drop(id);
      else {
        fail(e);
        if (failureOf(e).code === "not_found") note({ in: undefined });
      }
    }
  };
  const drop = async (id: string) => {
    await send("DELETE", `/api/intake/${id}`).catch(() => undefined);
    setDraft(emptyDraft);
    setState({ step: "wait" });
    note({ in: undefined });
  };
  // A page that was loaded again in the middle looks again at what it had.
  useEffect(() => {
    if (intake !== undefined && state.step === "wait" && error === undefined) void look(intake);
  }, [intake]);

  const bring = async (files: { file: File; path: string }[]) => {
    if (files.length === 0) return;
    setError(undefined);
    setDraft(emptyDraft);
    const names = flatNames(files.map((f) => f.path));
    const total = files.reduce((sum, f) => sum + f.file.size, 0);
    const stop = new AbortController();
    const show = (what: string, sent: number) =>
      setState({
        step: "busy",
        progress: { fraction: total > 0 ? sent / total : null, what },
        cancel: () => stop.abort(),
      });
    let id: string | undefined;
    try {
      id = await newIntake();
      let done = 0;
      for (const [i, { file }] of files.entries()) {
        const called = names[i] ?? file.name;
        show(`Taking in ${called}`, done);
        await upload(id, file, called, (sent) => show(`Taking in ${called}`, done + sent), stop.signal);
        done += file.size;
      }
      setName(files.length === 1 ? (names[0] ?? "").replace(/\.[^.]*$/, "") : (files[0]?.path.split("/").filter(Boolean)[0] ?? ""));
      note({ in: id });
      await look(id);
    } catch (e) {
      fail(e);
      setState({ step: "wait" });
      if (id !== undefined) await drop(id);
    }
  };
  const change = async (next: MapDraft) => {
    if (intake === undefined) return;
    setError(undefined);
    setDraft(next);
    try {
      await putMap(intake, mapText(next));
      await look(intake, next);
    } catch (e) {
      fail(e);
    }
  };
  const site = async (next: Options) => {
    setOptions(next);
    if (intake !== undefined) await sendJson("PUT", `/api/intake/${intake}/options`, next).catch(fail);
  };
  const read = async (found: Survey) => {
    if (intake === undefined) return;
    const work: Work = { cancelled: false };
    setError(undefined);
    busy(work, { fraction: 0, what: "Reading" });
    try {
      const recording = await takeIn(intake, name, work, (p) => busy(work, p));
      if (mapText(draft) !== "") keepMap(headersKey(found.files), draft);
      forget("/api/recordings");
      go("verdict", { r: recording, t: "", from: "", to: "" });
    } catch (e) {
      setState({ step: "look", survey: found });
      fail(e);
    }
  };

  return (
    <>
      {error ? <Trouble error={error} /> : null}
      {state.step === "wait" ? <DropPlace onFiles={(f) => void bring(f)} /> : null}
      {state.step === "busy" ? <Working progress={state.progress} onCancel={state.cancel} /> : null}
      {state.step === "look" ? (
        <section class="bring">
          <Title>What was understood</Title>
          <Understood
            survey={state.survey}
            draft={draft}
            onDraft={(d) => void change(d)}
            intake={intake ?? ""}
          />
          <Site options={options} onChange={(o) => void site(o)} />
          <div class="row take-in">
            <label>
              Name <input value={name} onInput={(e) => setName(e.currentTarget.value)} />
            </label>
            <button type="button" class="main" onClick={() => void read(state.survey)}>
              Take it in and judge it
            </button>
            <button type="button" onClick={() => intake !== undefined && void drop(intake)}>
              Leave it
            </button>
          </div>
        </section>
      ) : null}
    </>
  );
}
