import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { cancelJob, failureOf, followJob, sendJson } from "../api/client.ts";
import type { Failure, Progress } from "../api/types.ts";

export interface Worked {
  done: boolean;
  /** What the work gave, once it is done. */
  result?: unknown;
  progress?: Progress;
  error?: Failure;
  /** The person ended it. */
  cancelled: boolean;
  cancel: () => void;
  again: () => void;
}

type State = Pick<Worked, "done" | "cancelled" | "result"> & { of: string; progress?: Progress; error?: Failure };

/** Starts a long piece of work and follows it; starts again when what is asked changes, or `turn`. */
export function useWork(path: string, body: string, turn = 0): Worked {
  const of = `${path} ${body} ${turn}`;
  const [state, setState] = useState<State>({ of, done: false, cancelled: false });
  const [tries, setTries] = useState(0);
  const end = useRef<() => void>();
  useEffect(() => {
    let live = true;
    let ended = false;
    let job: string | undefined;
    setState({ of, done: false, cancelled: false });
    const told = (change: Partial<State>) => live && setState({ of, done: false, cancelled: false, ...change });
    // Not waited for: the work ends at its next step, the person's wait ends now.
    const stop = () => job !== undefined && void cancelJob(job).catch(() => undefined);
    end.current = () => {
      live = false;
      ended = true;
      stop();
    };
    (async () => {
      const { job: id } = await sendJson<{ job: string }>("POST", path, JSON.parse(body));
      job = id;
      if (ended) stop();  // It was cancelled while that answer was under way.
      else return followJob<unknown>(id, (progress) => told({ progress }));
      return undefined;
    })().then(
      (result) => told({ done: true, result }),
      (e: unknown) => {
        const error = failureOf(e);
        told(error.code === "cancelled" ? { cancelled: true } : { error });
      },
    );
    return () => {
      live = false;
    };
  }, [of, tries]);
  const cancel = useCallback(() => {
    if (end.current === undefined) return;
    end.current();
    end.current = undefined;
    setState({ of, done: false, cancelled: true });
  }, [of]);
  const again = useCallback(() => setTries((n) => n + 1), []);
  const now = state.of === of ? state : { done: false, cancelled: false };
  return { ...now, cancel, again };
}
