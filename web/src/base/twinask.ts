import type { TwinAsk, TwinFaults } from "../api/types.ts";

/** What the sliders say; SI, faults as shares 0 to 1. */
export interface Wish {
  mode: "heating" | "cooling";
  outdoor: number;
  room: number;
  charge: number | null;
  calls: boolean[];
  module: Record<string, number>;
  /** The one unit that the unit faults are for; -1: none. */
  unitAt: number;
  unit: Record<string, number>;
  air: number;
}

/** Where the asked machine comes from. */
export type Machine = { recording: string } | { example: string } | { sheet: string };

/** The faults that differ from a healthy machine, in the shape that the server takes. */
export function faultsOf(wish: Wish, modules: number): TwinFaults | undefined {
  const healthy = (o: Record<string, number>) =>
    Object.fromEntries(Object.entries(o).filter(([, v]) => Number.isFinite(v) && v > 0));
  const module = healthy(wish.module);
  const unit = healthy(wish.unit);
  const faults: TwinFaults = {};
  if (Object.keys(module).length > 0) {
    faults.modules = Array.from({ length: modules }, (_, i) => (i === 0 ? module : {}));
  }
  if (Object.keys(unit).length > 0 && wish.unitAt >= 0) {
    faults.units = wish.calls.map((_, i) => (i === wish.unitAt ? unit : {}));
  }
  if (wish.air > 0) faults.non_condensables_mol = wish.air;
  return Object.keys(faults).length > 0 ? faults : undefined;
}

export function askOf(machine: Machine, wish: Wish, modules: number): TwinAsk {
  const faults = faultsOf(wish, modules);
  return {
    ...machine,
    mode: wish.mode,
    outdoor: wish.outdoor,
    room: wish.room,
    calls: wish.calls,
    ...(wish.charge === null ? {} : { charge: wish.charge }),
    ...(faults ? { faults } : {}),
  };
}

/** Evenly spaced values, ends included. */
export function steps(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
}
