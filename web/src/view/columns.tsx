import { useEffect, useMemo } from "preact/hooks";
import { useJson } from "../api/client.ts";
import type { RecordingInfo, Survey } from "../api/types.ts";
import { judgeAnew } from "../base/anew.ts";
import { useCell } from "../base/cell.ts";
import { address, go, linkTo } from "../base/route.ts";
import { Fold, Title, Trouble, Working } from "../part/bits.tsx";
import { OptionFields } from "../part/site.tsx";
import { Look } from "./bringin.tsx";
import { Desk } from "./desk.ts";
import { Understood, understoodIn } from "./understood.tsx";

/** What was understood of a recording that is taken in, to be corrected at any time: it is read again from its files. */
export function ColumnsView() {
  const recording = useCell(address).ask["r"] ?? "";
  const { data: info, error: unknown } = useJson<RecordingInfo>(recording === "" ? null : `/api/recordings/${recording}`);
  const desk = useMemo(() => new Desk(), [recording]);
  const { now, error, draft, options, id } = useCell(desk.state);
  useEffect(() => {
    if (recording !== "") void desk.again(recording);
  }, [desk]);
  const read = async (found: Survey) => {
    if ((await desk.read(id, found)) === undefined) return;
    judgeAnew.set(judgeAnew.get() + 1);
    go("verdict", { t: "", from: "", to: "" });
  };
  const leave = async () => {
    await desk.drop(id);
    go("verdict");
  };
  if (recording === "" || unknown) {
    return (
      <Trouble error={unknown ?? { code: "none", message: "No recording is open." }}>
        <p>
          <a class="button" href={linkTo("recordings")}>Go to the recordings</a>
        </p>
      </Trouble>
    );
  }
  return (
    <article>
      <Title>What was understood{info ? ` of ${info.name}` : ""}</Title>
      <p class="soft">
        Correct here what the columns are, their units, their places, the clock and the refrigerant. The recording is then read again
        from the files as they came; these are never changed.
      </p>
      {error ? (
        <Trouble error={error}>
          <p><button type="button" onClick={() => void desk.again(recording)}>Look at it again</button></p>
        </Trouble>
      ) : null}
      {now.step === "wait" && !error ? (
        <p><button type="button" onClick={() => void desk.again(recording)}>Look at the files</button></p>
      ) : null}
      {now.step === "busy" ? <Working progress={now.progress} onCancel={now.cancel} /> : null}
      {now.step === "look" ? (
        <section class="bring">
          <Look again={now.again} />
          <Understood survey={now.survey} draft={draft} intake={id} onDraft={(d) => void desk.correct(id, d)} />
          <Fold title="Machine and site, where the log does not say" open>
            <OptionFields options={options} onChange={(o) => void desk.say(id, o)} />
          </Fold>
          <div class="row take-in">
            <button type="button" class="main" disabled={understoodIn(now.survey) === 0} onClick={() => void read(now.survey)}>
              Read it again and judge it
            </button>
            <button type="button" onClick={() => void leave()}>Leave it as it was</button>
          </div>
        </section>
      ) : null}
    </article>
  );
}
