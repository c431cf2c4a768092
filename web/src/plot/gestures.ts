/** What fingers, mouse and wheel do on the time line. Positions are shares of the width, 0 to 1. */
export interface Gestures {
  pan(share: number): void;
  zoom(factor: number, at: number): void;
  place(at: number): void;
  choose(from: number, to: number, done: boolean): void;
}

/**
 * One finger or the mouse drags the picture; two fingers pinch; a tap places the cursor; Shift with the mouse chooses a
 * stretch; the wheel zooms, sideways it pans. @returns what ends it
 */
export function listenTo(element: HTMLElement, inset: number, act: Gestures): () => void {
  const fingers = new Map<number, number>();
  let moved = 0;
  let chosen: number | null = null;
  // Asked once a frame: asking again after something has changed would have the browser lay the page out in between.
  let box: DOMRect | null = null;
  const place = () => {
    if (box) return box;
    requestAnimationFrame(() => (box = null));
    return (box = element.getBoundingClientRect());
  };
  const share = (clientX: number) => {
    const { left, width } = place();
    return Math.min(1, Math.max(0, (clientX - left - inset) / (width - inset - 12)));
  };
  const down = (e: PointerEvent) => {
    if (e.button !== 0) return;
    element.setPointerCapture(e.pointerId);
    fingers.set(e.pointerId, share(e.clientX));
    moved = 0;
    chosen = e.shiftKey && fingers.size === 1 ? share(e.clientX) : null;
  };
  const move = (e: PointerEvent) => {
    const before = fingers.get(e.pointerId);
    if (before === undefined) return;
    const now = share(e.clientX);
    if (fingers.size === 2) {
      const other = [...fingers].find(([id]) => id !== e.pointerId)?.[1] ?? now;
      const spread = Math.abs(before - other);
      const wider = Math.abs(now - other);
      if (spread > 0.01 && wider > 0.01) act.zoom(spread / wider, 0.5 * (now + other));
      moved = 1;
    } else if (chosen !== null) {
      act.choose(Math.min(chosen, now), Math.max(chosen, now), false);
    } else if (moved + Math.abs(now - before) > 0.004) {
      act.pan(before - now);
      moved += Math.abs(now - before);
    } else return;
    fingers.set(e.pointerId, now);
  };
  const up = (e: PointerEvent) => {
    const at = fingers.get(e.pointerId);
    fingers.delete(e.pointerId);
    if (at === undefined) return;
    if (chosen !== null) {
      act.choose(Math.min(chosen, at), Math.max(chosen, at), true);
      chosen = null;
    } else if (moved < 0.004 && fingers.size === 0) act.place(at);
  };
  const wheel = (e: WheelEvent) => {
    e.preventDefault();
    const unit = e.deltaMode === 1 ? 18 : 1;
    if (Math.abs(e.deltaX) > Math.abs(e.deltaY)) act.pan((e.deltaX * unit) / place().width);
    else act.zoom(Math.exp(e.deltaY * unit * 0.0018), share(e.clientX));
  };
  element.addEventListener("pointerdown", down);
  element.addEventListener("pointermove", move);
  element.addEventListener("pointerup", up);
  element.addEventListener("pointercancel", up);
  element.addEventListener("wheel", wheel, { passive: false });
  return () => {
    element.removeEventListener("pointerdown", down);
    element.removeEventListener("pointermove", move);
    element.removeEventListener("pointerup", up);
    element.removeEventListener("pointercancel", up);
    element.removeEventListener("wheel", wheel);
  };
}
