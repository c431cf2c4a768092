import { useEffect, useRef } from "preact/hooks";
import { address, note, unitSystem, views, type View } from "../base/route.ts";
import { theme } from "./theme.ts";

const rows: readonly (readonly [string, string])[] = [
  ["1 … 9, 0", "the views, in the order of the list"],
  ["u", "SI or inch-pound"],
  ["d", "light, dark, sun"],
  ["← →", "on the strip or the time line: cursor by one reading; with Shift by an hour"],
  ["Page keys", "cursor to the next change of phase"],
  ["Home, End", "cursor to the beginning, to the end"],
  ["+ −", "time line: closer, wider"],
  ["[ ]", "time line: earlier, later"],
  ["w", "time line: the whole recording"],
  ["p", "cycle: play, stop"],
  ["?", "this list"],
];

function typing(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement && target.closest("input, textarea, select, [contenteditable]") !== null
  );
}

/** Keys that work everywhere, and the list of them. */
export function Keys({ onGo }: { onGo: (view: View) => void }) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.altKey || event.metaKey || typing(event.target)) return;
      const digit = /^[0-9]$/.test(event.key) ? views[(Number(event.key) + 9) % 10] : undefined;
      if (digit) onGo(digit[0]);
      else if (event.key === "u") {
        note({ u: unitSystem(address.get()) === "ip" ? undefined : "ip" });
      } else if (event.key === "d") {
        const now = theme.get();
        theme.set(now === "light" ? "dark" : now === "dark" ? "sun" : "light");
      } else if (event.key === "?") {
        dialog.current?.showModal();
      } else return;
      event.preventDefault();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  }, [onGo]);
  return (
    <>
      <button type="button" class="keys-open" onClick={() => dialog.current?.showModal()}>
        Keys
      </button>
      <dialog ref={dialog} aria-label="Keys">
        <h2>Keys</h2>
        <table>
          <tbody>
            {rows.map(([key, what]) => (
              <tr key={key}>
                <th scope="row">
                  <kbd>{key}</kbd>
                </th>
                <td>{what}</td>
              </tr>
            ))}
          </tbody>
        </table>
        <p class="soft">
          <a href="licences.txt" target="_blank" rel="noreferrer">
            Licences of software in this page
          </a>
        </p>
        <button type="button" onClick={() => dialog.current?.close()}>
          Close
        </button>
      </dialog>
    </>
  );
}
