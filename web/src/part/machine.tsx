import { useJson } from "../api/client.ts";
import type { RecordingInfo, SheetAnswer } from "../api/types.ts";
import type { Loaded } from "../api/client.ts";
import { useCell } from "../base/cell.ts";
import { address, note } from "../base/route.ts";
import type { Machine } from "../base/twinask.ts";
import { about } from "./session.ts";

/** The system sheet that a view works on: that of the open recording, or one of the program's own. */
export function useMachine(): { machine: Machine | null; sheet: Loaded<SheetAnswer>; picked: string } {
  const now = useCell(address);
  const recording = now.ask["r"];
  const info = useJson<RecordingInfo>(recording === undefined ? null : `/api/recordings/${recording}`);
  const own = info.data?.has_sheet === true && recording !== undefined;
  const asked = now.ask["machine"];
  const examples = about.get()?.examples ?? [];
  const picked = asked ?? (own ? "own" : recording !== undefined && info.loading ? "" : (examples[0]?.id ?? ""));
  const useOwn = picked === "own" && recording !== undefined;
  const path = picked === "" ? null : useOwn ? `/api/recordings/${recording}/sheet` : `/api/examples/${picked}/sheet`;
  const sheet = useJson<SheetAnswer>(path);
  const machine: Machine | null = picked === "" ? null : useOwn ? { recording } : { example: picked };
  return { machine, sheet, picked };
}

export function MachineChoice({ picked }: { picked: string }) {
  const now = useCell(address);
  const recording = now.ask["r"];
  const info = useJson<RecordingInfo>(recording === undefined ? null : `/api/recordings/${recording}`).data;
  const examples = about.get()?.examples ?? [];
  return (
    <label>
      Machine{" "}
      <select value={picked} onChange={(e) => note({ machine: e.currentTarget.value })}>
        {info?.has_sheet ? <option value="own">the sheet of {info.name}</option> : null}
        {examples.map((x) => (
          <option key={x.id} value={x.id}>
            invented: {x.title}
          </option>
        ))}
      </select>
    </label>
  );
}
