import { useEffect, useState } from "preact/hooks";
import { failureOf, forget, getJson, send, sendJson } from "../api/client.ts";
import type { Failure, RecordingInfo } from "../api/types.ts";
import { useCell } from "../base/cell.ts";
import { address, linkTo, go } from "../base/route.ts";
import { durationText } from "../base/time.ts";
import { Mark, Title, Trouble, Working } from "../part/bits.tsx";
import { BringIn } from "./bringin.tsx";

export function bytesText(bytes: number): string {
  if (bytes < 1e3) return `${bytes} B`;
  if (bytes < 1e6) return `${Math.round(bytes / 1e3)} kB`;
  if (bytes < 1e9) return `${(bytes / 1e6).toFixed(1)} MB`;
  return `${(bytes / 1e9).toFixed(2)} GB`;
}

/** The name, which can be changed where it stands. */
function Name({ info, naming, onNaming, onKeep }: {
  info: RecordingInfo;
  /** What is typed; undefined while nobody renames. */
  naming: string | undefined;
  onNaming: (text: string | undefined) => void;
  onKeep: () => void;
}) {
  if (naming === undefined) {
    return (
      <a class="recording-name" href={linkTo("verdict", { r: info.id, t: "", from: "", to: "" })}>
        {info.name}
      </a>
    );
  }
  return (
    <input
      aria-label="Name of the recording"
      value={naming}
      onInput={(e) => onNaming(e.currentTarget.value)}
      onKeyDown={(e) => {
        if (e.key === "Enter") onKeep();
        if (e.key === "Escape") onNaming(undefined);
      }}
    />
  );
}

/** Removes a recording, after asking once more. */
function Remove({ info, open, onGone }: { info: RecordingInfo; open: boolean; onGone: () => void }) {
  const [sure, setSure] = useState(false);
  const remove = async () => {
    await send("DELETE", `/api/recordings/${info.id}`);
    forget(`/api/recordings/${info.id}`);
    if (open) go("recordings", { r: "", t: "", from: "", to: "" });
    onGone();
  };
  return sure ? (
    <>
      <button type="button" class="danger" onClick={() => void remove()}>Really remove {info.name}</button>
      <button type="button" class="quiet" onClick={() => setSure(false)}>Keep it</button>
    </>
  ) : (
    <button type="button" class="quiet" onClick={() => setSure(true)}>
      Remove<span class="hidden"> {info.name}</span>
    </button>
  );
}

function Row({ info, open, onChange }: { info: RecordingInfo; open: boolean; onChange: () => void }) {
  const [naming, setNaming] = useState<string>();
  const s = info.summary;
  const rename = async () => {
    if (naming !== undefined && naming.trim() !== "" && naming !== info.name) {
      await sendJson("PUT", `/api/recordings/${info.id}/name`, { name: naming.trim() });
      forget(`/api/recordings/${info.id}`);
      onChange();
    }
    setNaming(undefined);
  };
  return (
    <li class={open ? "recording recording-open" : "recording"}>
      <div class="recording-what">
        <Name info={info} naming={naming} onNaming={setNaming} onKeep={() => void rename()} />
        <p class="soft">
          {info.demo ? "Invented demo recording. " : ""}
          {s ? `${durationText((s.end_ms - s.start_ms) / 1000)} of ${s.channels} channels; ` : ""}
          {info.files.map((f) => f.name).join(", ")}, {bytesText(info.bytes)}
          {info.has_sheet ? ", with a system sheet" : ""}
        </p>
      </div>
      <p class="recording-verdict">
        {s ? <><Mark of={s.verdict} /> {s.healthy}</> : <span class="soft">Not judged yet</span>}
      </p>
      <div class="recording-acts">
        {naming === undefined ? (
          <button type="button" class="quiet" onClick={() => setNaming(info.name)}>
            Rename<span class="hidden"> {info.name}</span>
          </button>
        ) : (
          <button type="button" onClick={() => void rename()}>Keep the name</button>
        )}
        <a class="button quiet" href={linkTo("columns", { r: info.id, t: "", from: "", to: "" })}>
          Columns<span class="hidden"> of {info.name}: correct what was understood</span>
        </a>
        <Remove info={info} open={open} onGone={onChange} />
      </div>
    </li>
  );
}

export function RecordingsView() {
  const now = useCell(address);
  const [list, setList] = useState<RecordingInfo[]>();
  const [error, setError] = useState<Failure>();
  const [busy, setBusy] = useState(false);
  const load = () => {
    getJson<{ recordings: RecordingInfo[] }>("/api/recordings").then(
      (answer) => setList(answer.recordings),
      (e: unknown) => setError(failureOf(e)),
    );
  };
  useEffect(load, []);
  const demo = async () => {
    setBusy(true);
    try {
      const info = await sendJson<RecordingInfo>("POST", "/api/recordings/demo", {});
      go("verdict", { r: info.id, t: "", from: "", to: "" });
    } catch (e) {
      setError(failureOf(e));
      setBusy(false);
    }
  };
  const looking = now.ask["in"] !== undefined;
  return (
    <article>
      {looking ? null : <Title key="title">Recordings</Title>}
      <BringIn key="bring" />
      {error ? <Trouble error={error} /> : null}
      {looking ? null : list === undefined ? (
        error ? null : <Working progress={{ fraction: null, what: "Looking for recordings" }} />
      ) : (
        <>
          <h2>{list.length === 0 ? "Nothing is taken in yet" : "Taken in"}</h2>
          <ul class="recordings">
            {list.map((info) => (
              <Row key={info.id} info={info} open={info.id === now.ask["r"]} onChange={load} />
            ))}
          </ul>
          {list.some((r) => r.demo) ? null : (
            <p>
              <button type="button" disabled={busy} onClick={() => void demo()}>
                Open the demo recording
              </button>{" "}
              <span class="soft">An invented office building on a winter day: every page has something to show.</span>
            </p>
          )}
        </>
      )}
    </article>
  );
}
