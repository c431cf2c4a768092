import { useEffect, useState } from "preact/hooks";
import { failureOf, sendJson } from "../api/client.ts";
import type { Failure } from "../api/types.ts";

export interface Told<T> {
  /** To what was asked last and could be answered: an older one while `busy` or beside `error`. */
  answer?: T;
  error?: Failure;
  busy: boolean;
  /** It takes longer than a person waits without a word. */
  slow: boolean;
}

/** For forms whose answer is `slow`. */
export const stillWorking = "Working on what was typed last. What stands below, if anything, is for what was there before.";

/** How long answers took, by path [ms]: what takes long is not asked for at each letter. */
const took = new Map<string, number>();

/** The time without a change before it is asked: half of what the answer takes, within reason. */
export function pauseFor(usual_ms: number, took_ms: number | undefined): number {
  return Math.max(usual_ms, Math.min(1500, 0.5 * (took_ms ?? 0)));
}

/** What the server says to a body, a moment after its last change; nothing for an empty body. */
export function useAnswer<T>(path: string, body: string, pause_ms = 250): Told<T> {
  const [told, setTold] = useState<Told<T>>({ busy: body !== "", slow: false });
  useEffect(() => {
    if (body === "") {
      setTold({ busy: false, slow: false });
      return;
    }
    const stop = new AbortController();
    setTold((t) => ({ ...t, busy: true, slow: false }));
    const pause = pauseFor(pause_ms, took.get(path));
    const patience = setTimeout(() => setTold((t) => ({ ...t, slow: true })), pause_ms + 700);
    const timer = setTimeout(() => {
      const since = performance.now();
      sendJson<T>("POST", path, JSON.parse(body), stop.signal).then(
        (answer) => {
          clearTimeout(patience);
          took.set(path, performance.now() - since);
          setTold({ answer, busy: false, slow: false });
        },
        (e: unknown) => {
          clearTimeout(patience);
          if (stop.signal.aborted) return;
          setTold(({ answer }) => ({ ...(answer ? { answer } : {}), error: failureOf(e), busy: false, slow: false }));
        },
      );
    }, pause);
    return () => {
      clearTimeout(patience);
      clearTimeout(timer);
      stop.abort();
    };
  }, [path, body, pause_ms]);
  return told;
}
