import { render } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { ask, failureOf, keptJson } from "../api/client.ts";
import type { CycleFrame, Dome, Failure } from "../api/types.ts";
import { Cell, useCalmCell, useCell } from "../base/cell.ts";
import { compose, partsOf, undressed, type Cover, type Extra, type Page } from "../base/report.ts";
import { instantText } from "../base/time.ts";
import { Title, Trouble, Working, saveText } from "../part/bits.tsx";
import { keptSheets, Paper } from "../part/paper.tsx";
import { cursor, useRecording, useUnits } from "../part/session.ts";
import { PhChart } from "../plot/phchart.tsx";
import drawingStyle from "../style/drawings.css?inline";

const chosenParts = new Cell<ReadonlySet<string> | null>(null);
const coverText = new Cell<Cover>({ site: "", by: "", remarks: "" });

/** Colours of the drawings on paper: those of the light page, whatever the screen shows. */
const paperColours =
  ":root{--ink:#16212b;--soft:#52606d;--line:#c9d1d9;--grid:#e3e8ec;--panel:#fff;--ground:#fff;--accent:#0a5766;--fault:#a3195b;--raised:#eef1f3;--line-0:#0a5766;--line-1:#b4470f;--stroke:2px}";

/** The page of the check, in its parts, in the units of the switch. */
function usePage(recording: string, units: string): { page?: Page; error?: Failure } {
  const [told, setTold] = useState<{ page?: Page; error?: Failure }>({});
  useEffect(() => {
    const stop = new AbortController();
    ask(`/api/recordings/${recording}/report?format=html&units=${units}`, { signal: stop.signal })
      .then((r) => r.text())
      .then(
        (text) => {
          const { bare, style } = undressed(text);
          setTold({ page: partsOf(new DOMParser().parseFromString(bare, "text/html"), style) });
        },
        (e: unknown) => {
          if (!stop.signal.aborted) setTold({ error: failureOf(e) });
        },
      );
    return () => stop.abort();
  }, [recording, units]);
  return told;
}

function drawn(node: preact.VNode): string {
  const place = document.createElement("div");
  render(node, place);
  const html = place.innerHTML;
  render(null, place);
  return html;
}

/** The cycle at the cursor as a picture for paper; absent where there is none. */
function useCyclePage(recording: string, at: number, clock: Parameters<typeof instantText>[1], units: string): Extra[] {
  const [extras, setExtras] = useState<Extra[]>([]);
  useEffect(() => {
    let live = true;
    (async () => {
      const frame = await keptJson<CycleFrame & { refrigerant: string }>(`/api/recordings/${recording}/cycle?at=${Math.round(at)}`);
      const dome = await keptJson<Dome>(`/api/dome?refrigerant=${encodeURIComponent(frame.refrigerant)}`);
      const found = frame.modules.filter((m) => m.points.length > 2).map((m) => ({
        key: `cycle-${m.place}`,
        title: `Cycle of ${m.label} at ${instantText(frame.at_ms, clock)}`,
        html: drawn(<PhChart dome={dome} cycle={m} others={[]} />),
        style: paperColours + drawingStyle,
      }));
      if (live) setExtras(found);
    })().catch(() => live && setExtras([]));
    return () => {
      live = false;
    };
  }, [recording, at, units]);
  return extras;
}

/** A field sheet's own page becomes a section: its style is that of all pages. */
function sheetExtras(sheets: readonly { key: string; title: string; html: string }[]): Extra[] {
  return sheets.map((s) => {
    const document = new DOMParser().parseFromString(undressed(s.html).bare, "text/html");
    const main = document.querySelector("main") ?? document.body;
    return { key: `sheet-${s.key}`, title: s.title, html: main.innerHTML, style: "" };
  });
}

export function ReportView() {
  const { info, channels } = useRecording();
  const units = useUnits();
  const at = useCalmCell(cursor, 300) ?? channels.start_ms;
  const { page, error } = usePage(info.id, units.system);
  const sheets = useCell(keptSheets);
  const cover = useCell(coverText);
  const picked = useCell(chosenParts);
  const cycles = useCyclePage(info.id, at, channels.clock, units.system);
  const fields = useMemo(() => sheetExtras(sheets), [sheets]);
  const extras = [...cycles, ...fields];
  const print = useRef<() => void>();
  if (error) return <Trouble error={error} />;
  if (!page) return <Working progress={{ fraction: null, what: "Writing the report" }} />;
  const optional = page.parts.filter((p) => !p.always);
  const chosen = picked ?? new Set([...optional.map((p) => p.key), ...fields.map((f) => f.key)]);
  const html = compose(page, chosen, extras, cover, `Report: ${info.name}`);
  const toggle = (key: string) => {
    const next = new Set(chosen);
    if (!next.delete(key)) next.add(key);
    chosenParts.set(next);
  };
  const tick = (key: string, title: string) => (
    <label key={key} class="tick">
      <input type="checkbox" checked={chosen.has(key)} onChange={() => toggle(key)} />
      {title}
    </label>
  );
  return (
    <article>
      <Title>Report</Title>
      <div class="beside report">
        <section class="panel" aria-label="What goes into the report">
          <div class="row">
            <button type="button" class="main" onClick={() => saveText(`${info.name.replaceAll(/[^\w.-]+/g, "_") || "report"}.html`, "text/html", html)}>
              Save as HTML
            </button>
            <button type="button" onClick={() => print.current?.()}>Print, or save as PDF</button>
          </div>
          <div class="fields">
            <label>Site <input value={cover.site} onInput={(e) => coverText.set({ ...cover, site: e.currentTarget.value })} /></label>
            <label>Prepared by <input value={cover.by} onInput={(e) => coverText.set({ ...cover, by: e.currentTarget.value })} /></label>
            <label class="whole">Remarks <textarea rows={3} value={cover.remarks} onInput={(e) => coverText.set({ ...cover, remarks: e.currentTarget.value })} /></label>
          </div>
          <h2>Pages</h2>
          <p class="soft">The verdict, the three questions and the cautions always go along.</p>
          {optional.map((p) => tick(p.key, p.title))}
          {extras.map((e) => tick(e.key, e.title))}
          {fields.length === 0 ? <p class="soft">Sheets of fieldwork join here when you put them into the report.</p> : null}
        </section>
        <section aria-label="Preview">
          <Paper html={html} title="Preview of the report" onFrame={(p) => (print.current = p)} />
        </section>
      </div>
    </article>
  );
}
