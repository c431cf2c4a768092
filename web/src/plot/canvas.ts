import { useEffect, useRef, useState } from "preact/hooks";
import type { RefObject } from "preact";

/** The size of an element in CSS pixels, followed as it changes. */
export function useSize<T extends Element>(): [RefObject<T>, number, number] {
  const ref = useRef<T>(null);
  const [size, setSize] = useState<[number, number]>([0, 0]);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const look = () => {
      const box = element.getBoundingClientRect();
      setSize((old) =>
        old[0] === Math.round(box.width) && old[1] === Math.round(box.height)
          ? old
          : [Math.round(box.width), Math.round(box.height)],
      );
    };
    look();
    const watch = new ResizeObserver(look);
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  return [ref, size[0], size[1]];
}

/** Sizes a canvas for the screen's pixels and gives its context in CSS pixels. */
export function contextOf(
  canvas: HTMLCanvasElement,
  width: number,
  height: number,
): CanvasRenderingContext2D | null {
  const ratio = devicePixelRatio || 1;
  const w = Math.round(width * ratio);
  const h = Math.round(height * ratio);
  if (canvas.width !== w) canvas.width = w;
  if (canvas.height !== h) canvas.height = h;
  const context = canvas.getContext("2d");
  context?.setTransform(ratio, 0, 0, ratio, 0, 0);
  context?.clearRect(0, 0, width, height);
  return context;
}

export const plotFont = '12px system-ui, "Liberation Sans", "DejaVu Sans", sans-serif';

/** Calls `draw` at most once a frame. */
export function oncePerFrame(draw: () => void): () => void {
  let asked = 0;
  return () => {
    if (asked !== 0) return;
    asked = requestAnimationFrame(() => {
      asked = 0;
      draw();
    });
  };
}
