import { useEffect, useRef, useState } from "preact/hooks";
import { Cell } from "../base/cell.ts";

/** Sheets that were filled in here, ready to go into a report; lost when the page is closed. */
export interface KeptSheet {
  key: string;
  title: string;
  html: string;
}
export const keptSheets = new Cell<readonly KeptSheet[]>([]);

export function keepSheet(sheet: KeptSheet): void {
  keptSheets.set([...keptSheets.get().filter((s) => s.key !== sheet.key), sheet]);
}

/** A page of paper in a frame without scripts; `print` of the frame prints it alone. */
export function Paper({ html, title, onFrame }: {
  html: string;
  title: string;
  onFrame?: (print: () => void) => void;
}) {
  const frame = useRef<HTMLIFrameElement>(null);
  const shown = useRef("");
  const [height, setHeight] = useState(600);
  // The first text is set with the frame; later ones go into the living document, so that nothing flickers.
  const [first, setFirst] = useState(html);
  const measure = () => {
    const main = frame.current?.contentDocument?.body;
    if (main) setHeight(Math.min(30_000, main.scrollHeight + 40));
  };
  useEffect(() => {
    if (html === first || html === shown.current) return;
    const inner = frame.current?.contentDocument;
    if (!inner?.body) {
      setFirst(html);
      return;
    }
    const next = new DOMParser().parseFromString(html, "text/html");
    inner.head.replaceChildren(...next.head.childNodes);
    inner.body.replaceChildren(...next.body.childNodes);
    shown.current = html;
    measure();
  }, [html, first]);
  useEffect(() => onFrame?.(() => frame.current?.contentWindow?.print()), [onFrame]);
  return (
    <iframe ref={frame} class="paper" title={title} sandbox="allow-same-origin allow-modals" srcdoc={first} height={height} onLoad={measure} />
  );
}
