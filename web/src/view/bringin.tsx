import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { Progress, Survey } from "../api/types.ts";
import { useCell } from "../base/cell.ts";
import { address, go } from "../base/route.ts";
import { Fold, Title, Trouble, Working } from "../part/bits.tsx";
import { GiveSheet } from "../part/givesheet.tsx";
import { about } from "../part/session.ts";
import { OptionFields } from "../part/site.tsx";
import { Desk } from "./desk.ts";
import { droppedFiles } from "./intake.ts";
import { bytesText } from "./recordings.tsx";
import { Understood, understoodIn } from "./understood.tsx";

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
        one machine are joined on time. A system sheet of the machine (TOML) may lie among them.
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

/** Says that the files are looked at once more, while what was seen before stands there. */
export function Look({ again }: { again: { progress: Progress; cancel: () => void } | undefined }) {
  return <div class="look-again" aria-live="polite">{again ? <Working progress={again.progress} onCancel={again.cancel} /> : null}</div>;
}

/** From dropped files to a recording that is taken in. The address holds the intake while it is looked at. */
export function BringIn() {
  const intake = useCell(address).ask["in"];
  const desk = useMemo(() => new Desk(), []);
  const { now, error, draft, options, name, sheet } = useCell(desk.state);
  // A page that was loaded again in the middle looks again at what it had.
  useEffect(() => {
    if (intake !== undefined && now.step === "wait" && error === undefined) void desk.look(intake);
  }, [intake]);
  const id = intake ?? "";
  const read = async (found: Survey) => {
    const recording = await desk.read(id, found);
    if (recording !== undefined) go("verdict", { r: recording, t: "", from: "", to: "" });
  };
  return (
    <>
      {error ? <Trouble error={error} /> : null}
      {now.step === "wait" ? <DropPlace onFiles={(f) => void desk.bring(f)} /> : null}
      {now.step === "busy" ? <Working progress={now.progress} onCancel={now.cancel} /> : null}
      {now.step === "look" ? (
        <section class="bring">
          <Title>What was understood</Title>
          <Look again={now.again} />
          <Understood survey={now.survey} draft={draft} intake={id} onDraft={(d) => void desk.correct(id, d)} />
          <Fold title={`Machine and site, where the log does not say${sheet ? ": with a system sheet" : ""}`} open={sheet}>
            <GiveSheet at={`/api/intake/${id}`} has={sheet} onDone={() => void desk.recall(id)} />
            <OptionFields options={options} onChange={(o) => void desk.say(id, o)} />
          </Fold>
          <div class="row take-in">
            <label>
              Name <input value={name} onInput={(e) => desk.setName(e.currentTarget.value)} />
            </label>
            <button type="button" class="main" disabled={understoodIn(now.survey) === 0} onClick={() => void read(now.survey)}>
              Take it in and judge it
            </button>
            <button type="button" onClick={() => void desk.drop(id)}>
              Leave it
            </button>
          </div>
        </section>
      ) : null}
    </>
  );
}
