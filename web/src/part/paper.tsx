import { useEffect, useRef, useState } from "preact/hooks";
import { Cell } from "../base/cell.ts";
import { undressed } from "../base/report.ts";

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

/** Puts styles on a frame's document through the object model, which the policy allows. */
function dress(frame: Window & typeof globalThis, style: string): void {
  const sheet = new frame.CSSStyleSheet();
  sheet.replaceSync(style);
  frame.document.adoptedStyleSheets = [sheet];
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
  const [ready, setReady] = useState(false);
  // Texts go into the living document, so that nothing flickers when one follows another.
  const show = () => {
    const inner = frame.current?.contentWindow as (Window & typeof globalThis) | null | undefined;
    if (!inner?.document.body || html === shown.current) return;
    const { bare, style } = undressed(html);
    const next = new DOMParser().parseFromString(bare, "text/html");
    inner.document.head.replaceChildren(...next.head.childNodes);
    inner.document.body.replaceChildren(...next.body.childNodes);
    dress(inner, style);
    shown.current = html;
    setHeight(Math.min(30_000, inner.document.body.scrollHeight + 40));
  };
  useEffect(() => {
    if (ready) show();
  }, [html, ready]);
  useEffect(() => onFrame?.(() => frame.current?.contentWindow?.print()), [onFrame]);
  // As tall as its page, with nothing in it to press: no stop for the Tab key.
  return (
    <iframe ref={frame} tabIndex={-1} class={ready ? "paper" : "paper paper-bare"} title={title} sandbox="allow-same-origin allow-modals"
      srcdoc="<!doctype html>" height={height} onLoad={() => setReady(true)} />
  );
}
