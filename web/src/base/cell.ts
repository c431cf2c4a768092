import { useEffect, useState } from "preact/hooks";

/** A value that tells its listeners when it changes. */
export class Cell<T> {
  private listeners = new Set<(value: T) => void>();
  constructor(private value: T) {}

  get(): T {
    return this.value;
  }

  set(next: T): void {
    if (Object.is(next, this.value)) return;
    this.value = next;
    for (const listener of [...this.listeners]) listener(next);
  }

  /** Returns what ends the listening. */
  listen(listener: (value: T) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
}

/** The value of a cell inside a component, drawn again when it changes. */
export function useCell<T>(cell: Cell<T>): T {
  const [value, setValue] = useState(() => cell.get());
  useEffect(() => {
    setValue(() => cell.get());
    return cell.listen((next) => setValue(() => next));
  }, [cell]);
  return value;
}

/** As useCell, but at most every `wait` ms: for tables that follow a dragged cursor. */
export function useCalmCell<T>(cell: Cell<T>, wait: number): T {
  const [value, setValue] = useState(() => cell.get());
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    setValue(() => cell.get());
    const stop = cell.listen(() => {
      timer ??= setTimeout(() => {
        timer = undefined;
        setValue(() => cell.get());
      }, wait);
    });
    return () => {
      stop();
      clearTimeout(timer);
    };
  }, [cell, wait]);
  return value;
}
