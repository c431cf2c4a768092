import { render } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { ask, failureOf, keptJson } from "../api/client.ts";
import type { CycleFrame, Dome, Failure } from "../api/types.ts";
import { Cell, useCalmCell, useCell } from "../base/cell.ts";
import { compose, fileName, partsOf, undressed, usualPaper, type Cover, type Extra, type Page, type PaperSize } from "../base/report.ts";
import { instantText } from "../base/time.ts";
import { Choice, Title, Trouble, Working, saveText } from "../part/bits.tsx";
import { keptSheets, Paper } from "../part/paper.tsx";
import { SavePdf } from "../part/savepdf.tsx";
import { cursor, useRecording, useUnits } from "../part/session.ts";
import { PhChart } from "../plot/phchart.tsx";
import drawingStyle from "../style/drawings.css?inline";

const chosenParts = new Cell<ReadonlySet<string> | null>(null);
const chosenPaper = new Cell<PaperSize | null>(null);
const coverText = new Cell<Cover>({ site: "", by: "", remarks: "" });

/** Colours of the drawings on paper: those of the light page, whatever the screen shows. */
const paperColours =
  ":root{--ink:#16212b;--soft:#52606d;--line:#c9d1d9;--grid:#e3e8ec;--panel:#fff;--ground:#fff;--accent:#0a5766;--fault:#a3195b;--raised:#eef1f3;--line-0:#0a5766;--line-1:#b4470f;--stroke:2px}";

/** The page of the check, in its parts, in the units of the switch. */
function usePage(recording: string, units: string, paper: PaperSize): { page?: Page; error?: Failure } {
  const [told, setTold] = useState<{ page?: Page; error?: Failure }>({});
  useEffect(() => {
    const stop = new AbortController();
    ask(`/api/recordings/${recording}/report?format=html&units=${units}&paper=${paper}`, { signal: stop.signal })
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
  }, [recording, units, paper]);
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

/** Everything that a report is made from, and the page itself; `told.page` is absent until it has come. */
function useReport() {
  const { info, channels } = useRecording();
  const units = useUnits();
  const at = useCalmCell(cursor, 300) ?? channels.start_ms;
  const paper = useCell(chosenPaper) ?? usualPaper(units.system);
  const { page, error } = usePage(info.id, units.system, paper);
  const sheets = useCell(keptSheets);
  const cover = useCell(coverText);
  const picked = useCell(chosenParts);
  const cycles = useCyclePage(info.id, at, channels.clock, units.system);
  const fields = useMemo(() => sheetExtras(sheets), [sheets]);
  const extras = [...cycles, ...fields];
  const optional = page?.parts.filter((p) => !p.always) ?? [];
  const chosen = picked ?? new Set([...optional.map((p) => p.key), ...fields.map((f) => f.key)]);
  const html = page ? compose(page, chosen, extras, cover, `Report: ${info.name}`) : "";
  return { page, error, paper, cover, optional, fields, extras, chosen, html };
}

/** Save and print. */
function Out({ html, print }: { html: string; print: () => void }) {
  const { info } = useRecording();
  // The page as it was when PDF was asked for, and how often that was.
  const [asked, setAsked] = useState<{ page: string; turn: number } | null>(null);
  return (
    <>
      <div class="row">
        <button type="button" class="main" onClick={() => setAsked((a) => ({ page: html, turn: (a?.turn ?? 0) + 1 }))}>
          Save as PDF
        </button>
        <button type="button" onClick={() => saveText(fileName(info.name, "html"), "text/html", html)}>Save as HTML</button>
        <button type="button" onClick={print}>Print</button>
      </div>
      {asked ? (
        <SavePdf key={asked.turn} at={`/api/recordings/${info.id}/report.pdf`} page={asked.page} name={fileName(info.name, "pdf")}
          onPrint={print} onEnd={() => setAsked(null)} />
      ) : null}
    </>
  );
}

function CoverFields({ cover }: { cover: Cover }) {
  const set = (change: Partial<Cover>) => coverText.set({ ...cover, ...change });
  return (
    <div class="fields">
      <label>Site <input value={cover.site} onInput={(e) => set({ site: e.currentTarget.value })} /></label>
      <label>Prepared by <input value={cover.by} onInput={(e) => set({ by: e.currentTarget.value })} /></label>
      <label class="whole">Remarks <textarea rows={3} value={cover.remarks} onInput={(e) => set({ remarks: e.currentTarget.value })} /></label>
    </div>
  );
}

export function ReportView() {
  const report = useReport();
  const print = useRef<() => void>();
  if (report.error) return <Trouble error={report.error} />;
  if (!report.page) return <Working progress={{ fraction: null, what: "Writing the report" }} />;
  const { chosen, extras, html } = report;
  const tick = ({ key, title }: { key: string; title: string }) => (
    <label key={key} class="tick">
      <input type="checkbox" checked={chosen.has(key)}
        onChange={() => {
          const next = new Set(chosen);
          if (!next.delete(key)) next.add(key);
          chosenParts.set(next);
        }} />
      {title}
    </label>
  );
  return (
    <article>
      <Title>Report</Title>
      <div class="beside report">
        <section class="panel" aria-label="What goes into the report">
          <Out html={html} print={() => print.current?.()} />
          <CoverFields cover={report.cover} />
          <h2>Pages</h2>
          <p class="soft">The verdict, the three questions and the cautions always go along.</p>
          {report.optional.map(tick)}
          {extras.map(tick)}
          {report.fields.length === 0 ? <p class="soft">Sheets of fieldwork join here when you put them into the report.</p> : null}
          <h2>Paper</h2>
          <Choice name="Paper" of={[["a4", "A4"], ["letter", "Letter"]] as const} value={report.paper} onPick={(p) => chosenPaper.set(p)} />
        </section>
        <section aria-label="Preview">
          <Paper html={html} title="Preview of the report" onFrame={(p) => (print.current = p)} />
        </section>
      </div>
    </article>
  );
}
