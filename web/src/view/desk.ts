import { cancelJob, failureOf, forget, getJson, send, sendJson } from "../api/client.ts";
import type { Failure, Options, Progress, Survey } from "../api/types.ts";
import { Cell } from "../base/cell.ts";
import { draftOf, emptyDraft, headersKey, mapText, type MapDraft, type MapTable } from "../base/mapdraft.ts";
import { flatNames } from "../base/names.ts";
import { note } from "../base/route.ts";
import { newIntake, putMap, sorted, survey, takeIn, upload, type Brought, type IntakeInfo, type Work } from "./intake.ts";

const keptPlace = "coilwright.maps";

/** Maps that were corrected here before, by the headers that they are for. */
function keptMaps(): Record<string, MapDraft> {
  try {
    return JSON.parse(localStorage.getItem(keptPlace) ?? "{}") as Record<string, MapDraft>;
  } catch {
    return {};
  }
}

function keepMap(key: string, draft: MapDraft): void {
  try {
    const all = { ...keptMaps(), [key]: draft };
    const latest = Object.entries(all).slice(-30);
    localStorage.setItem(keptPlace, JSON.stringify(Object.fromEntries(latest)));
  } catch {
    // A browser that keeps nothing: the recording itself keeps its map all the same.
  }
}

interface Doing {
  progress: Progress;
  cancel: () => void;
}

type Step =
  | { step: "wait" }
  | ({ step: "busy" } & Doing)
  /** `again`: the files are looked at once more, and what was seen before stands there meanwhile. */
  | { step: "look"; survey: Survey; again?: Doing };

export interface DeskState {
  now: Step;
  error?: Failure;
  draft: MapDraft;
  options: Options;
  name: string;
  sheet: boolean;
  /** The intake that is looked at. */
  id: string;
}

type Files = { file: File; path: string }[];

/** The name that a recording is offered: that of its file, or of its folder. */
function offeredName(files: Files, names: readonly string[]): string {
  if (files.length === 1) return (names[0] ?? "").replace(/\.[^.]*$/, "");
  return files[0]?.path.split("/").filter(Boolean)[0] ?? "";
}

/** From dropped files to a recording that is taken in: what is done at each step, apart from how it is shown. */
export class Desk {
  readonly state = new Cell<DeskState>({ now: { step: "wait" }, draft: emptyDraft, options: {}, name: "", sheet: false, id: "" });
  /** Counts the looks: one that was overtaken says nothing any more. */
  private looks = 0;

  private set(change: Partial<DeskState>): void {
    this.state.set({ ...this.state.get(), ...change });
  }

  private settled(): void {
    const { error: _, ...rest } = this.state.get();
    this.state.set(rest);
  }

  private fail(e: unknown): void {
    const error = failureOf(e);
    if (error.code !== "cancelled") this.set({ error });
  }

  private busy(work: Work, progress: Progress): void {
    const cancel = () => {
      work.cancelled = true;
      if (work.job) void cancelJob(work.job);
    };
    const { now } = this.state.get();
    this.set({ now: now.step === "look" ? { ...now, again: { progress, cancel } } : { step: "busy", progress, cancel } });
  }

  private looked(found: Survey): void {
    this.set({ now: { step: "look", survey: found } });
  }

  setName(name: string): void {
    this.set({ name });
  }

  /** What was said of an intake, as the server has it. */
  async recall(id: string): Promise<void> {
    try {
      const info = await getJson<IntakeInfo>(`/api/intake/${id}`);
      this.set({ options: info.options, sheet: info.has_sheet });
    } catch (e) {
      this.fail(e);
    }
  }

  /** Looks at the files of an intake; with the map that was made for such headers before, where there is one. */
  async look(id: string, known?: MapDraft): Promise<void> {
    const work: Work = { cancelled: false };
    const turn = ++this.looks;
    this.set({ id });
    this.busy(work, { fraction: null, what: "Looking at the files" });
    try {
      const found = await survey(id, work, (p) => turn === this.looks && this.busy(work, p));
      if (turn !== this.looks) return;
      await this.recall(id);
      this.looked(found);
      const before = keptMaps()[headersKey(found.files)];
      if (known !== undefined || !before) return;
      this.set({ draft: before });
      await putMap(id, mapText(before));
      await this.look(id, before);
    } catch (e) {
      if (turn !== this.looks) return;
      const { now } = this.state.get();
      const cancelled = failureOf(e).code === "cancelled";
      if (now.step === "look") return cancelled ? this.looked(now.survey) : (this.looked(now.survey), this.fail(e));
      this.set({ now: { step: "wait" } });
      if (cancelled) return this.drop(id);
      this.fail(e);
      if (failureOf(e).code === "not_found") note({ in: undefined });
    }
  }

  /** Looks again at the files of a recording that is taken in, with what was decided for it. */
  async again(recording: string): Promise<void> {
    this.settled();
    this.set({ now: { step: "busy", progress: { fraction: null, what: "Looking at the files" }, cancel: () => undefined } });
    try {
      const { id } = await sendJson<IntakeInfo>("POST", `/api/recordings/${recording}/correction`, {});
      const draft = draftOf(await getJson<MapTable>(`/api/intake/${id}/map?as=json`));
      this.set({ draft });
      await this.look(id, draft);
    } catch (e) {
      this.set({ now: { step: "wait" } });
      this.fail(e);
    }
  }

  async drop(id: string): Promise<void> {
    await send("DELETE", `/api/intake/${id}`).catch(() => undefined);
    this.set({ draft: emptyDraft, now: { step: "wait" } });
    note({ in: undefined });
  }

  async bring(files: Files): Promise<void> {
    if (files.length === 0) return;
    this.settled();
    this.set({ draft: emptyDraft });
    const brought = await sorted(files);
    if (brought.logs.length === 0) {
      this.set({ error: { code: "nothing", message: "A system sheet alone is no recording.", fix: "Drop the log along with it." } });
      return;
    }
    let id: string | undefined;
    try {
      id = await newIntake();
      await this.send(id, brought);
      note({ in: id });
      await this.look(id);
    } catch (e) {
      this.fail(e);
      this.set({ now: { step: "wait" } });
      if (id !== undefined) await this.drop(id);
    }
  }

  private async send(id: string, { logs, sheet }: Brought): Promise<void> {
    const names = flatNames(logs.map((f) => f.path));
    const total = logs.reduce((sum, f) => sum + f.file.size, 0);
    const stop = new AbortController();
    const show = (what: string, sent: number) =>
      this.set({ now: { step: "busy", progress: { fraction: total > 0 ? sent / total : null, what }, cancel: () => stop.abort() } });
    let done = 0;
    for (const [i, { file }] of logs.entries()) {
      const called = names[i] ?? file.name;
      show(`Taking in ${called}`, done);
      await upload(id, file, called, (sent) => show(`Taking in ${called}`, done + sent), stop.signal);
      done += file.size;
    }
    this.set({ name: offeredName(logs, names) });
    // A sheet that is wrong is said so, and the log is looked at all the same.
    if (sheet) await send("PUT", `/api/intake/${id}/sheet`, await sheet.text()).catch((e: unknown) => this.fail(e));
  }

  async correct(id: string, draft: MapDraft): Promise<void> {
    this.settled();
    const before = this.state.get().draft;
    this.set({ draft });
    try {
      await putMap(id, mapText(draft));
    } catch (e) {
      // What the program refuses is not in force, and must not stand there as if it were.
      this.set({ draft: before });
      return this.fail(e);
    }
    await this.look(id, draft);
  }

  async say(id: string, options: Options): Promise<void> {
    this.settled();
    this.set({ options });
    await sendJson("PUT", `/api/intake/${id}/options`, options).catch((e: unknown) => this.fail(e));
  }

  /** Takes it in, or reads the recording again where it is one; gives its id, or nothing where that did not come to an end. */
  async read(id: string, found: Survey): Promise<string | undefined> {
    const work: Work = { cancelled: false };
    this.settled();
    this.set({ now: { step: "wait" } });
    this.busy(work, { fraction: 0, what: "Reading" });
    const { draft, name } = this.state.get();
    try {
      const recording = await takeIn(id, name, work, (p) => this.busy(work, p));
      if (mapText(draft) !== "") keepMap(headersKey(found.files), draft);
      forget("/api/recordings");
      return recording;
    } catch (e) {
      this.looked(found);
      this.fail(e);
      return undefined;
    }
  }
}
