import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { ComponentType } from "preact";
import { getJson, failureOf, useJson } from "./api/client.ts";
import type { About, Failure, RecordingInfo } from "./api/types.ts";
import { useCell } from "./base/cell.ts";
import { address, arrivals, go, linkTo, note, titleOf, unitSystem, views, type View } from "./base/route.ts";
import { setDimensions } from "./base/units.ts";
import { Choice, Fold, Trouble, Working } from "./part/bits.tsx";
import { Keys } from "./part/keys.tsx";
import { Ribbon } from "./part/ribbon.tsx";
import { RecordingContext, about, settleOn, useOpening } from "./part/session.ts";
import { SiteOf } from "./part/site.tsx";
import { theme, themes } from "./part/theme.ts";
import { RecordingsView } from "./view/recordings.tsx";
import { VerdictView } from "./view/verdict.tsx";

// What is not needed for the first answer comes when it is asked for.
const later: Partial<Record<View, () => Promise<ComponentType>>> = {
  causes: async () => (await import("./view/causes.tsx")).CausesView,
  time: async () => (await import("./view/timeline.tsx")).TimelineView,
  cycle: async () => (await import("./view/cycle.tsx")).CycleView,
  circuit: async () => (await import("./view/circuit.tsx")).CircuitView,
  units: async () => (await import("./view/units.tsx")).UnitsView,
  whatif: async () => (await import("./view/whatif.tsx")).WhatIfView,
  fieldwork: async () => (await import("./view/fieldwork.tsx")).FieldworkView,
  report: async () => (await import("./view/report.tsx")).ReportView,
  columns: async () => (await import("./view/columns.tsx")).ColumnsView,
};
const come = new Map<View, ComponentType>([
  ["recordings", RecordingsView],
  ["verdict", VerdictView],
]);

/** Views that show a recording; the others work without one. */
const ofRecording: readonly View[] = ["verdict", "causes", "time", "cycle", "circuit", "units", "report"];
const withRibbon: readonly View[] = ["verdict", "causes", "time", "cycle", "circuit", "units"];

function Body({ view }: { view: View }) {
  const [, setTurn] = useState(0);
  const [error, setError] = useState<Failure>();
  useEffect(() => {
    const load = later[view];
    if (come.has(view) || !load) return;
    load().then(
      (component) => {
        come.set(view, component);
        setTurn((n) => n + 1);
      },
      (e: unknown) => setError(failureOf(e)),
    );
  }, [view]);
  const View = come.get(view);
  if (error) return <Trouble error={error} />;
  return View ? <View /> : <Working />;
}

/** A recording that cannot be judged as it stands: what was said of it can be corrected here. */
function NotOpened({ error, recording }: { error: Failure; recording: string }) {
  const info = useJson<RecordingInfo>(`/api/recordings/${recording}`).data;
  return (
    <>
      <Trouble error={error}>
        <p>
          <a class="button" href={linkTo("columns")}>
            Correct what was understood
          </a>{" "}
          <a class="button" href={linkTo("recordings")}>
            Go to the recordings
          </a>
        </p>
      </Trouble>
      {info ? (
        <Fold title={`Machine and site of ${info.name}`} open>
          <SiteOf info={info} />
        </Fold>
      ) : null}
    </>
  );
}

function Guarded({ view, recording }: { view: View; recording: string | undefined }) {
  const { open, progress, error } = useOpening(recording);
  const [settled, setSettled] = useState<string>();
  const arrived = useCell(arrivals);
  const id = open?.info.id;
  useEffect(() => {
    if (!open) return;
    settleOn(open.channels);
    setSettled(open.info.id);
  }, [id, arrived]);
  const needed = ofRecording.includes(view);
  if (!needed) {
    return (
      <RecordingContext.Provider value={open ?? null}>
        <main id="main" class={`view view-${view}`}>
          <Body view={view} />
        </main>
      </RecordingContext.Provider>
    );
  }
  return (
    <RecordingContext.Provider value={open ?? null}>
      {open && settled === open.info.id && withRibbon.includes(view) ? <Ribbon /> : null}
      <main id="main" class={`view view-${view}`}>
        {recording === undefined ? (
          <div class="trouble">
            <p>
              <strong>No recording is open.</strong> This view shows one.
            </p>
            <p>
              <a class="button" href={linkTo("recordings")}>
                Go to the recordings
              </a>
            </p>
          </div>
        ) : error ? (
          <NotOpened error={error} recording={recording} />
        ) : open && settled === open.info.id ? (
          <Body view={view} />
        ) : (
          <Working {...(progress ? { progress } : {})} />
        )}
      </main>
    </RecordingContext.Provider>
  );
}

/** Another page begins at its top: its answer stands there, and the one before may have been scrolled down. */
function useTopOf(page: string): void {
  const before = useRef(page);
  useLayoutEffect(() => {
    if (before.current !== page) scrollTo(0, 0);
    before.current = page;
  }, [page]);
}

export function App() {
  const now = useCell(address);
  const known = useCell(about);
  const shade = useCell(theme);
  const [error, setError] = useState<Failure>();
  useEffect(() => {
    getJson<About>("/api/about").then(
      (a) => {
        setDimensions(a.dimensions);
        about.set(a);
      },
      (e: unknown) => setError(failureOf(e)),
    );
  }, []);
  useEffect(() => {
    document.title = `${titleOf(now.view)} · Coilwright workbench`;
  }, [now.view]);
  const units = unitSystem(now);
  useTopOf([now.view, now.ask["r"], now.ask["in"], now.ask["p"]].join(" "));
  return (
    <div class="shell">
      <a class="skip" href="#main" onClick={skipToMain}>
        Skip to the content
      </a>
      <header class="top">
        <a class="name" href={linkTo("recordings")}>
          Coilwright
        </a>
        <div class="switches">
          <Choice
            name="Units"
            of={[["si", "SI"], ["ip", "inch-pound"]] as const}
            value={units}
            onPick={(u) => note({ u: u === "ip" ? "ip" : undefined })}
          />
          <Choice name="Light" of={themes} value={shade} onPick={(t) => theme.set(t)} />
          <Keys onGo={go} />
        </div>
      </header>
      <nav class="ways" aria-label="Views">
        {views.map(([view, label]) => (
          <a key={view} href={linkTo(view)} aria-current={view === now.view ? "page" : undefined}>
            {label}
          </a>
        ))}
      </nav>
      <div class="stage">
        {error ? (
          <main id="main" class="view">
            <Trouble error={error} />
          </main>
        ) : known ? (
          <Guarded view={now.view} recording={now.ask["r"]} />
        ) : (
          <main id="main" class="view">
            <Working />
          </main>
        )}
      </div>
    </div>
  );
}

function skipToMain(event: Event): void {
  // The address holds the view, so the usual fragment cannot be used.
  event.preventDefault();
  document.querySelector<HTMLElement>("#main h1, #main")?.focus();
}
