import { useEffect, useRef, useState } from "preact/hooks";
import { saveFrom, Trouble, Working } from "./bits.tsx";
import { useWork } from "./work.ts";

interface Props {
  /** Of the recording's `report.pdf`. */
  at: string;
  page: string;
  name: string;
  /** The browser's own print, for where the program has nothing to print with. */
  onPrint: () => void;
  onEnd: () => void;
}

/** A page being printed by the program, with progress, then given to the browser's own "save". */
export function SavePdf({ at, page, name, onPrint, onEnd }: Props) {
  const [body] = useState(() => JSON.stringify({ page }));
  const { done, result, progress, error, cancelled, cancel, again } = useWork(at, body);
  const print = (result as { print?: string } | undefined)?.print;
  const address = print === undefined ? undefined : `${at}?print=${print}`;
  const saved = useRef("");
  useEffect(() => {
    if (address === undefined || saved.current === address) return;
    saved.current = address;
    saveFrom(name, address);
  }, [address]);
  useEffect(() => {
    if (cancelled) onEnd();
  }, [cancelled]);
  if (error) {
    return (
      <Trouble error={error}>
        <div class="row">
          <button type="button" class="main" onClick={onPrint}>Print from this browser</button>
          <button type="button" onClick={again}>Try again</button>
        </div>
      </Trouble>
    );
  }
  if (!done || address === undefined) {
    return <Working progress={progress ?? { fraction: null, what: "Printing the report" }} onCancel={cancel} />;
  }
  return (
    <p role="status">
      Saved: <a href={address} download={name}>{name}</a>
    </p>
  );
}
