import { useJson } from "../api/client.ts";
import type { RecordingInfo, SheetAnswer, VerdictJson } from "../api/types.ts";
import { unlike, type Ground } from "../base/unlike.ts";
import { useRecording, useUnits } from "./session.ts";

/** What a recording was judged with, once it is known. */
function useGround(id: string): Ground | undefined {
  const units = useUnits();
  const info = useJson<RecordingInfo>(`/api/recordings/${id}`).data;
  const verdict = useJson<VerdictJson>(`/api/recordings/${id}/verdict?units=${units.system}`).data;
  const sheet = useJson<SheetAnswer>(info?.has_sheet ? `/api/recordings/${id}/sheet` : null).data;
  if (!info || !verdict || (info.has_sheet && !sheet)) return undefined;
  return { verdict, sheet: sheet?.toml ?? null };
}

/** Says in what a recording that is compared with differs from the open one beside its readings. */
export function Unlike({ other, oneSheet = false }: { other: string; oneSheet?: boolean }) {
  const { info } = useRecording();
  const units = useUnits();
  const here = useGround(info.id);
  const there = useGround(other);
  const said = here && there ? unlike(here, there, units, oneSheet) : [];
  return said.length === 0 ? null : (
    <div class="warn" role="note">
      {said.map((text) => <p key={text}>{text}</p>)}
    </div>
  );
}
