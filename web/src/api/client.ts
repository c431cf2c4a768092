import { useEffect, useState } from "preact/hooks";
import type { Failure, Progress } from "./types.ts";

/** What the server refused, or that it does not answer, in the program's own form. */
export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly failure: Failure,
    readonly failures: Failure[] = [failure],
  ) {
    super(failure.message);
  }
}

export function failureOf(error: unknown): Failure {
  if (error instanceof Refusal) return error.failure;
  return { code: "internal", message: error instanceof Error ? error.message : String(error) };
}

async function refusalOf(response: Response): Promise<Refusal> {
  try {
    const body = (await response.json()) as { error: Failure; errors?: Failure[] };
    return new Refusal(response.status, body.error, body.errors ?? [body.error]);
  } catch {
    return new Refusal(response.status, {
      code: "internal",
      message: `The program answered with status ${response.status} and nothing to read.`,
    });
  }
}

export async function ask(path: string, init: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, { ...init, credentials: "same-origin" });
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new Refusal(0, {
      code: "unreachable",
      message: "The program does not answer.",
      fix: "Start coilwright serve again; what was taken in is kept.",
    });
  }
  if (!response.ok) throw await refusalOf(response);
  return response;
}

export async function getJson<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await (await ask(path, signal ? { signal } : {})).json()) as T;
}

export async function sendJson<T>(
  method: string,
  path: string,
  body: unknown,
  signal?: AbortSignal,
): Promise<T> {
  const response = await ask(path, {
    method,
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
    ...(signal ? { signal } : {}),
  });
  return (response.status === 204 ? undefined : await response.json()) as T;
}

export async function send(method: string, path: string, body?: BodyInit): Promise<Response> {
  return ask(path, { method, ...(body === undefined ? {} : { body }) });
}

/**
 * Follows a long piece of work to its end.
 * @returns its result; rejects with a Refusal, code "cancelled" when it was cancelled
 */
export function followJob<T>(id: string, onProgress: (p: Progress) => void): Promise<T> {
  return new Promise((resolve, reject) => {
    const source = new EventSource(`/api/jobs/${id}/events`);
    const end = (act: () => void) => {
      source.close();
      act();
    };
    source.addEventListener("progress", (e) => onProgress(JSON.parse(e.data) as Progress));
    source.addEventListener("done", (e) =>
      end(() => resolve((JSON.parse(e.data) as { result: T }).result)),
    );
    source.addEventListener("failed", (e) =>
      end(() => reject(new Refusal(422, (JSON.parse(e.data) as { error: Failure }).error))),
    );
    source.addEventListener("cancelled", () =>
      end(() => reject(new Refusal(409, { code: "cancelled", message: "Cancelled." }))),
    );
    source.addEventListener("error", () => {
      // The stream ends after its last event; only a stream that cannot come back is a failure.
      if (source.readyState !== EventSource.CLOSED) return;
      end(() => reject(new Refusal(0, { code: "unreachable", message: "The program does not answer." })));
    });
  });
}

export function cancelJob(id: string): Promise<Response> {
  return send("DELETE", `/api/jobs/${id}`);
}

export interface Loaded<T> {
  data?: T;
  error?: Failure;
  loading: boolean;
}

const kept = new Map<string, Promise<unknown>>();
const ready = new Map<string, unknown>();

/** Forgets what was kept of addresses that begin so; views ask again when they are drawn next. */
export function forget(prefix: string): void {
  for (const key of [...kept.keys()]) if (key.startsWith(prefix)) kept.delete(key);
  for (const key of [...ready.keys()]) if (key.startsWith(prefix)) ready.delete(key);
}

/** Asks once for an address and keeps the answer; failures are not kept. */
export function keptJson<T>(path: string): Promise<T> {
  const known = kept.get(path);
  if (known) return known as Promise<T>;
  const asked = getJson<T>(path);
  kept.set(path, asked);
  // A page that has been open for a day must not hold all that was ever looked at.
  if (kept.size > 60) {
    const oldest = kept.keys().next().value;
    if (oldest !== undefined) forget(oldest);
  }
  asked.then(
    (value) => {
      if (kept.get(path) === asked) ready.set(path, value);
    },
    () => kept.delete(path),
  );
  return asked;
}

/** What an address answers; null asks nothing. `turn` asks again when it changes. */
export function useJson<T>(path: string | null, turn: unknown = 0): Loaded<T> {
  const first = path === null ? undefined : (ready.get(path) as T | undefined);
  const [state, setState] = useState<Loaded<T> & { of: string | null }>(
    first === undefined ? { loading: path !== null, of: path } : { data: first, loading: false, of: path },
  );
  useEffect(() => {
    if (path === null) return;
    let live = true;
    const now = ready.get(path) as T | undefined;
    setState(now === undefined ? { loading: true, of: path } : { data: now, loading: false, of: path });
    if (now !== undefined) return;
    keptJson<T>(path).then(
      (data) => live && setState({ data, loading: false, of: path }),
      (error: unknown) => live && setState({ error: failureOf(error), loading: false, of: path }),
    );
    return () => {
      live = false;
    };
  }, [path, turn]);
  if (state.of !== path) return first === undefined ? { loading: path !== null } : { data: first, loading: false };
  return state;
}
