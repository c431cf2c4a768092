import { useState } from "preact/hooks";
import type { ChannelInfo } from "../api/types.ts";
import { Fold } from "../part/bits.tsx";

interface Props {
  channels: readonly ChannelInfo[];
  chosen: readonly string[];
  most: number;
  onChange: (names: string[]) => void;
}

function quantityKey(c: ChannelInfo): string {
  return `${c.kind} ${c.quantity}`;
}

/** One quantity of all places at a touch. */
function OneQuantity({ channels, most, onChange }: Omit<Props, "chosen">) {
  const alike = [...new Map(channels.map((c) => [quantityKey(c), c])).values()].filter(
    (c) => channels.filter((o) => quantityKey(o) === quantityKey(c)).length > 1,
  );
  return (
    <label>
      One quantity at every place{" "}
      <select
        value=""
        onChange={(e) => {
          const key = e.currentTarget.value;
          if (key === "") return;
          onChange(channels.filter((c) => quantityKey(c) === key).map((c) => c.name).slice(0, most));
        }}
      >
        <option value="">choose</option>
        {alike.map((c) => (
          <option key={quantityKey(c)} value={quantityKey(c)}>
            {c.label}, {c.kind}
          </option>
        ))}
      </select>
    </label>
  );
}

/** Channels that every typed word fits, by place. */
function foundByPlace(channels: readonly ChannelInfo[], words: string): Map<string, ChannelInfo[]> {
  const needles = words.trim().toLowerCase().split(/\s+/).filter(Boolean);
  const places = new Map<string, ChannelInfo[]>();
  for (const c of channels) {
    const text = `${c.place_label} ${c.label} ${c.name}`.toLowerCase();
    if (!needles.every((n) => text.includes(n))) continue;
    const group = places.get(c.place_label);
    if (group) group.push(c);
    else places.set(c.place_label, [c]);
  }
  return places;
}

/** Every channel by place, with a search; and one quantity of all places at a touch. */
export function ChannelPicker({ channels, chosen, most, onChange }: Props) {
  const [words, setWords] = useState("");
  const toggle = (name: string) =>
    onChange(chosen.includes(name) ? chosen.filter((n) => n !== name) : [...chosen, name].slice(-most));
  const places = foundByPlace(channels, words);
  return (
    <Fold title={`Choose channels (${chosen.length} of at most ${most})`} open={chosen.length === 0 || chosen[0] === "none"}>
      <div class="row">
        <label>
          Find <input type="search" value={words} placeholder="indoor unit 7 gas" onInput={(e) => setWords(e.currentTarget.value)} />
        </label>
        <OneQuantity channels={channels} most={most} onChange={onChange} />
        <button type="button" onClick={() => onChange([])}>
          Take all away
        </button>
      </div>
      <div tabIndex={0} class="places">
        {places.size === 0 ? <p class="soft">No channel fits these words.</p> : null}
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
