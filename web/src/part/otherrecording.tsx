import type { ComponentChildren } from "preact";
import { useJson } from "../api/client.ts";
import type { RecordingInfo } from "../api/types.ts";
import { useRecording } from "./session.ts";

interface Props {
  children: ComponentChildren;
  value: string;
  none: string;
  onPick: (id: string) => void;
}

/** Picks one of the other recordings, or none; nothing where there is no other. */
export function OtherRecording({ children, value, none, onPick }: Props) {
  const { info } = useRecording();
  const list = useJson<{ recordings: RecordingInfo[] }>("/api/recordings").data?.recordings ?? [];
  const others = list.filter((r) => r.id !== info.id);
  if (others.length === 0 && value === "") return null;
  return (
    <label>
      {children}{" "}
      <select value={value} onChange={(e) => onPick(e.currentTarget.value)}>
        <option value="">{none}</option>
        {others.map((r) => (
          <option key={r.id} value={r.id}>{r.name}</option>
        ))}
      </select>
    </label>
  );
}
