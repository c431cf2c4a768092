import { ask, followJob, getJson, Refusal, send, sendJson } from "../api/client.ts";
import type { Options, Progress, Survey } from "../api/types.ts";

export interface IntakeInfo {
  id: string;
  files: { name: string; bytes: number; hash: string }[];
  options: Options;
  has_map: boolean;
  has_sheet: boolean;
}

/** Sends one file with progress; fetch cannot tell how far an upload is. */
export function upload(
  intake: string,
  file: File,
  name: string,
  onProgress: (sent: number) => void,
  signal: AbortSignal,
): Promise<void> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("PUT", `/api/intake/${intake}/files/${encodeURIComponent(name)}`);
    request.upload.addEventListener("progress", (e) => onProgress(e.loaded));
    request.addEventListener("load", () => {
      if (request.status >= 200 && request.status < 300) return resolve();
      try {
        const body = JSON.parse(request.responseText) as { error: { code: string; message: string } };
        reject(new Refusal(request.status, body.error));
      } catch {
        reject(new Refusal(request.status, { code: "internal", message: `${name} was refused.` }));
      }
    });
    request.addEventListener("error", () =>
      reject(new Refusal(0, { code: "unreachable", message: `${name} could not be sent.` })),
    );
    request.addEventListener("abort", () =>
      reject(new Refusal(409, { code: "cancelled", message: "Cancelled." })),
    );
    signal.addEventListener("abort", () => request.abort(), { once: true });
    request.send(file);
  });
}

/** A system sheet among dropped files: it describes the machine, and is no log. */
async function isSheet(file: File): Promise<boolean> {
  if (!/\.toml$/i.test(file.name) || file.size > 4 << 20) return false;
  return /^\s*\[\[\s*outdoor\s*\]\]/m.test(await file.text());
}

export interface Brought {
  logs: { file: File; path: string }[];
  sheet?: File;
}

/** The first system sheet among them stands apart from the logs. */
export async function sorted(files: readonly { file: File; path: string }[]): Promise<Brought> {
  const marks = await Promise.all(files.map(({ file }) => isSheet(file)));
  const sheet = files.find((_, i) => marks[i])?.file;
  return { logs: files.filter((_, i) => !marks[i]), ...(sheet ? { sheet } : {}) };
}

export async function newIntake(): Promise<string> {
  return (await sendJson<{ id: string }>("POST", "/api/intake", {})).id;
}

export interface Work {
  cancelled: boolean;
  job?: string;
}

async function follow<T>(path: string, body: unknown, work: Work, onProgress: (p: Progress) => void): Promise<T> {
  const { job } = await sendJson<{ job: string }>("POST", path, body);
  work.job = job;
  if (work.cancelled) await send("DELETE", `/api/jobs/${job}`);
  return followJob<T>(job, onProgress);
}

/** Looks at all files of an intake, with progress. */
export async function survey(id: string, work: Work, onProgress: (p: Progress) => void): Promise<Survey> {
  await follow(`/api/intake/${id}/survey`, {}, work, onProgress);
  return getJson<Survey>(`/api/intake/${id}/survey`);
}

/** Reads the intake for good; gives the recording's id. */
export async function takeIn(
  id: string,
  name: string,
  work: Work,
  onProgress: (p: Progress) => void,
): Promise<string> {
  const body = name.trim() === "" ? {} : { name: name.trim() };
  return (await follow<{ recording: string }>(`/api/intake/${id}/read`, body, work, onProgress)).recording;
}

export async function putMap(id: string, toml: string): Promise<void> {
  if (toml.trim() === "") await send("DELETE", `/api/intake/${id}/map`);
  else await ask(`/api/intake/${id}/map`, { method: "PUT", body: toml });
}

/** Files of a drop, folders walked. */
export async function droppedFiles(transfer: DataTransfer): Promise<{ file: File; path: string }[]> {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.() ?? null);
  if (entries.every((e) => e === null)) return [...transfer.files].map((file) => ({ file, path: file.name }));
  const out: { file: File; path: string }[] = [];
  const walk = async (entry: FileSystemEntry): Promise<void> => {
    if (entry.name.startsWith(".")) return;
    if (entry.isFile) {
      const file = await new Promise<File>((ok, no) => (entry as FileSystemFileEntry).file(ok, no));
      out.push({ file, path: entry.fullPath });
      return;
    }
    const reader = (entry as FileSystemDirectoryEntry).createReader();
    for (;;) {
      const some = await new Promise<FileSystemEntry[]>((ok, no) => reader.readEntries(ok, no));
      if (some.length === 0) return;
      for (const inner of some) await walk(inner);
    }
  };
  for (const entry of entries) if (entry) await walk(entry);
  return out;
}
