import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Failure, Progress, Verdict } from "../api/types.ts";
import { fixed } from "../base/units.ts";

/** A verdict as a word in a shape of its own: it reads without colour. */
export function Mark({ of }: { of: Verdict }) {
  return <span class={`mark mark-${of}`}>{of.replace("_", " ")}</span>;
}

export function Trouble({ error, children }: { error: Failure; children?: ComponentChildren }) {
  return (
    <div class="trouble" role="alert">
      <p>
        <strong>{error.message}</strong>
      </p>
      {error.where ? <p class="soft">Where: {error.where}</p> : null}
      {error.fix ? <p>{error.fix}</p> : null}
      {children}
    </div>
  );
}

export function Working({ progress, onCancel }: { progress?: Progress; onCancel?: () => void }) {
  const fraction = progress?.fraction ?? null;
  const percent = fraction === null ? "" : ` ${fixed(100 * fraction, 0)} %`;
  return (
    <div class="working" role="status">
      <p>
        {progress?.text || progress?.what || "Working"}
        {percent}
        {progress?.rate ? <span class="soft"> · {progress.rate}</span> : null}
      </p>
      <progress aria-label="How far the work is" max={1} {...(fraction === null ? {} : { value: fraction })} />
      {onCancel ? (
        <button type="button" onClick={onCancel}>
          Cancel
        </button>
      ) : null}
    </div>
  );
}

/** The heading that a view begins with; it takes the focus when the view changes, for screen readers. */
export function Title({ children }: { children: ComponentChildren }) {
  const ref = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (document.activeElement === document.body || document.activeElement?.closest("nav")) {
      ref.current?.focus({ preventScroll: true });
    }
  }, []);
  return (
    <h1 ref={ref} tabIndex={-1}>
      {children}
    </h1>
  );
}

export function List({ of, none }: { of: readonly string[]; none?: string }) {
  if (of.length === 0) return none ? <p class="soft">{none}</p> : null;
  return (
    <ul>
      {of.map((text) => (
        <li key={text}>{text}</li>
      ))}
    </ul>
  );
}

export function Fold({
  title,
  open = false,
  children,
}: {
  title: ComponentChildren;
  open?: boolean;
  children: ComponentChildren;
}) {
  return (
    <details class="fold" open={open}>
      <summary>{title}</summary>
      <div>{children}</div>
    </details>
  );
}

/** One choice of a few, as buttons side by side. */
export function Choice<T extends string>({
  name,
  of,
  value,
  onPick,
}: {
  name: string;
  of: readonly (readonly [T, string])[];
  value: T;
  onPick: (value: T) => void;
}) {
  return (
    <div class="choice" role="group" aria-label={name}>
      {of.map(([key, label]) => (
        <button key={key} type="button" aria-pressed={key === value} onClick={() => onPick(key)}>
          {label}
        </button>
      ))}
    </div>
  );
}

/** Gives what stands at an address to the browser's own "save". */
export function saveFrom(name: string, url: string): void {
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
}

/** Gives a file to the browser's own "save". */
export function saveText(name: string, type: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  saveFrom(name, url);
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
