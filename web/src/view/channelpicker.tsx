import { useState } from "preact/hooks";
import type { ChannelInfo } from "../api/types.ts";
import { Fold } from "../part/bits.tsx";

/** Every channel by place, with a search; and one quantity of all places at a touch. */
export function ChannelPicker({
  channels,
  chosen,
  most,
  onChange,
}: {
  channels: readonly ChannelInfo[];
  chosen: readonly string[];
  most: number;
  onChange: (names: string[]) => void;
}) {
  const [word, setWord] = useState("");
  const needle = word.trim().toLowerCase().split(/\s+/).filter(Boolean);
  const fits = channels.filter((c) => {
    const text = `${c.place_label} ${c.label} ${c.name}`.toLowerCase();
    return needle.every((n) => text.includes(n));
  });
  const places = new Map<string, ChannelInfo[]>();
  for (const c of fits) {
    const group = places.get(c.place_label);
    if (group) group.push(c);
    else places.set(c.place_label, [c]);
  }
  const toggle = (name: string) =>
    onChange(chosen.includes(name) ? chosen.filter((n) => n !== name) : [...chosen, name].slice(-most));
  const alike = [...new Map(channels.map((c) => [`${c.kind} ${c.quantity}`, c])).values()].filter(
    (c) => channels.filter((o) => o.kind === c.kind && o.quantity === c.quantity).length > 1,
  );
  return (
    <Fold title={`Choose channels (${chosen.length} of at most ${most})`} open={chosen.length === 0 || chosen[0] === "none"}>
      <div class="row">
        <label>
          Find <input type="search" value={word} placeholder="indoor unit 7 gas" onInput={(e) => setWord(e.currentTarget.value)} />
        </label>
        <label>
          One quantity at every place{" "}
          <select
            value=""
            onChange={(e) => {
              const key = e.currentTarget.value;
              if (key === "") return;
              onChange(channels.filter((c) => `${c.kind} ${c.quantity}` === key).map((c) => c.name).slice(0, most));
            }}
          >
            <option value="">choose</option>
            {alike.map((c) => (
              <option key={`${c.kind} ${c.quantity}`} value={`${c.kind} ${c.quantity}`}>
                {c.label}, {c.kind}
              </option>
            ))}
          </select>
        </label>
        <button type="button" onClick={() => onChange([])}>
          Take all away
        </button>
      </div>
      <div tabIndex={0} class="places">
        {[...places].map(([place, list]) => (
          <fieldset key={place}>
            <legend>{place}</legend>
            {list.map((c) => (
              <label key={c.name} class="tick">
                <input type="checkbox" checked={chosen.includes(c.name)} onChange={() => toggle(c.name)} />
                {c.label}
                {c.derived ? <span class="soft"> (computed)</span> : null}
              </label>
            ))}
          </fieldset>
        ))}
      </div>
    </Fold>
  );
}
