import { useState } from "preact/hooks";
import { failureOf, Refusal, send } from "../api/client.ts";
import type { Failure } from "../api/types.ts";
import { Trouble } from "./bits.tsx";

/** Takes a system sheet for a recording or for what is being brought in, and says all that is wrong with one. */
export function GiveSheet({ at, has, onDone }: {
  /** "/api/recordings/ID" or "/api/intake/ID" */
  at: string;
  has: boolean;
  onDone: () => void;
}) {
  const [errors, setErrors] = useState<Failure[]>([]);
  const change = (act: Promise<unknown>) =>
    act.then(
      () => {
        setErrors([]);
        onDone();
      },
      (e: unknown) => setErrors(e instanceof Refusal ? e.failures : [failureOf(e)]),
    );
  const put = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    input.value = "";
    if (file) await change(send("PUT", `${at}/sheet`, await file.text()));
  };
  return (
    <div class="give-sheet">
      <div class="row">
        <label>
          {has ? "Another system sheet (TOML)" : "System sheet of this machine (TOML)"}{" "}
          <input type="file" accept=".toml,text/plain" onChange={(e) => void put(e.currentTarget)} />
        </label>
        {has ? (
          <button type="button" class="quiet" onClick={() => void change(send("DELETE", `${at}/sheet`))}>
            Take the sheet away
          </button>
        ) : null}
      </div>
      {errors.map((e) => <Trouble key={`${e.where} ${e.message}`} error={e} />)}
    </div>
  );
}
