import { scaleLinear, scaleLog } from "d3-scale";
import type { CyclePoint, Dome, ModuleCycle } from "../api/types.ts";
import { fromShown, toShown, unitOf, fixed } from "../base/units.ts";
import { useUnits, type Shown } from "../part/session.ts";

const width = 760;
const height = 560;
const box = { left: 66, right: 16, top: 14, bottom: 48 };

interface Scales {
  x: (h: number) => number;
  y: (p: number) => number;
}

function scalesOf(dome: Dome): Scales {
  const x = scaleLinear([dome.range.h_low, dome.range.h_high], [box.left, width - box.right]);
  const y = scaleLog([dome.range.p_low, dome.range.p_high], [height - box.bottom, box.top]);
  return { x: (h) => x(h), y: (p) => y(p) };
}

function pathOf(points: readonly (readonly [number, number])[], { x, y }: Scales): string {
  return points.map(([h, p], i) => `${i === 0 ? "M" : "L"}${x(h).toFixed(1)} ${y(p).toFixed(1)}`).join("");
}

function Axes({ dome, scales, units }: { dome: Dome; scales: Scales; units: Shown }) {
  const pressure = unitOf("pressure", units.system);
  const energy = unitOf("specific_energy", units.system);
  const p = [toShown(dome.range.p_low, pressure), toShown(dome.range.p_high, pressure)] as const;
  const h = scaleLinear([toShown(dome.range.h_low, energy), toShown(dome.range.h_high, energy)], [0, 1]);
  const pTicks: number[] = [];
  for (let decade = 10 ** Math.floor(Math.log10(p[0])); decade <= p[1]; decade *= 10) {
    for (const m of [1, 2, 3, 5, 7]) if (m * decade >= p[0] && m * decade <= p[1]) pTicks.push(m * decade);
  }
  return (
    <g class="ph-axes">
      {pTicks.map((v) => {
        const at = scales.y(fromShown(v, pressure));
        return (
          <g key={v}>
            <line x1={box.left} x2={width - box.right} y1={at} y2={at} class="ph-grid" />
            <text x={box.left - 6} y={at + 4} text-anchor="end">{fixed(v, v < 1 ? 1 : 0)}</text>
          </g>
        );
      })}
      {h.ticks(8).map((v) => {
        const at = scales.x(fromShown(v, energy));
        return (
          <g key={v}>
            <line x1={at} x2={at} y1={box.top} y2={height - box.bottom} class="ph-grid" />
            <text x={at} y={height - box.bottom + 21} text-anchor="middle">{fixed(v, 0)}</text>
          </g>
        );
      })}
      <text x={width - box.right} y={height - 8} text-anchor="end">Enthalpy [{energy.symbol || "J/kg"}]</text>
      <text x={-box.top} y={15} text-anchor="end" transform="rotate(-90)">Pressure [{pressure.symbol || "Pa"}]</text>
    </g>
  );
}

const order = ["suction", "discharge", "condenser_dew", "condenser_bubble", "liquid", "evaporator_inlet", "evaporator_dew"];

function point(cycle: ModuleCycle, key: string): CyclePoint | undefined {
  return cycle.points.find((p) => p.key === key);
}

function loopOf(cycle: ModuleCycle, scales: Scales): string {
  const points = order.flatMap((k) => point(cycle, k) ?? []);
  if (points.length < 3) return "";
  return `${pathOf(points.map((p) => [p.h, p.p] as const), scales)}Z`;
}

/** A measure with its name along the piece of the cycle where it lies. */
function Span({ a, b, text, scales, below }: { a: CyclePoint; b: CyclePoint; text: string; scales: Scales; below: boolean }) {
  const [x1, x2] = [scales.x(Math.min(a.h, b.h)), scales.x(Math.max(a.h, b.h))];
  const y = 0.5 * (scales.y(a.p) + scales.y(b.p));
  const at = y + (below ? 14 : -14);
  const middle = Math.min(width - box.right - 4, Math.max(box.left + 4, 0.5 * (x1 + x2)));
  const near = x2 > width - 160 ? "end" : x1 < box.left + 90 ? "start" : "middle";
  return (
    <g class="ph-span">
      <line x1={x1} x2={x2} y1={at} y2={at} />
      <line x1={x1} x2={x1} y1={y} y2={at + (below ? 4 : -4)} />
      <line x1={x2} x2={x2} y1={y} y2={at + (below ? 4 : -4)} />
      <text x={near === "end" ? x2 : near === "start" ? x1 : middle} y={below ? at + 17 : at - 8} text-anchor={near}>{text}</text>
    </g>
  );
}

function Spans({ cycle, scales, units }: { cycle: ModuleCycle; scales: Scales; units: Shown }) {
  const parts: [string, string, string, number | null, boolean][] = [
    ["evaporator_dew", "suction", "suction superheat", cycle.suction_superheat, true],
    ["condenser_dew", "discharge", "discharge superheat", cycle.discharge_superheat, false],
    ["liquid", "condenser_bubble", "subcooling", cycle.subcooling, false],
  ];
  return (
    <>
      {parts.map(([from, to, name, value, below]) => {
        const a = point(cycle, from);
        const b = point(cycle, to);
        if (!a || !b || value === null) return null;
        return (
          <Span key={name} a={a} b={b} scales={scales} below={below}
            text={`${name} ${units.text(value, "temperature_difference")}`} />
        );
      })}
    </>
  );
}

/** Room that the name of an isotherm takes, with air on both sides; "-40" and "100" are widest. */
const nameWidth = 34;

/** Where isotherms are named: on the liquid side alone, where they are nearly upright, and only where there is room. */
export function isothermNames(dome: Dome, scales: Scales): { value: number; x: number }[] {
  const places = dome.curves.flatMap((c) => {
    if (c.kind !== "isotherm" || c.value > dome.critical.T) return [];
    const top = c.points.find(([, p]) => p <= dome.range.p_high * 0.96 && p >= dome.range.p_low);
    return top && top[0] <= dome.critical.h ? [{ value: c.value, x: scales.x(top[0]) }] : [];
  });
  places.sort((a, b) => a.x - b.x);
  let clear = box.left + nameWidth / 2;
  return places.filter(({ x }) => {
    if (x < clear || x > width - box.right - nameWidth / 2) return false;
    clear = x + nameWidth;
    return true;
  });
}

/** Pressure over enthalpy with the dome, and the cycle as the log shows it; dashed where it was taken, not measured. */
export function PhChart({ dome, cycle, others }: { dome: Dome; cycle: ModuleCycle; others: readonly ModuleCycle[] }) {
  const units = useUnits();
  const scales = scalesOf(dome);
  const curve = (kind: string) => dome.curves.filter((c) => c.kind === kind);
  const words = cycle.points.length < 3
    ? "No cycle at this moment."
    : `Condensing ${units.text(cycle.condensing, "temperature")}, evaporating ${units.text(cycle.evaporating, "temperature")}.`;
  return (
    <svg class="ph" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={`Pressure-enthalpy chart of ${dome.refrigerant} with the cycle of ${cycle.label}. ${words}`}>
      <Axes dome={dome} scales={scales} units={units} />
      <clipPath id="ph-clip">
        <rect x={box.left} y={box.top} width={width - box.left - box.right} height={height - box.top - box.bottom} />
      </clipPath>
      <g clip-path="url(#ph-clip)">
        {curve("isotherm").map((c) => (
          <path key={`t${c.value}`} class="ph-isotherm" d={pathOf(c.points, scales)} />
        ))}
        {curve("quality").map((c) => (
          <path key={`q${c.value}`} class="ph-quality" d={pathOf(c.points, scales)} />
        ))}
        {[...curve("bubble"), ...curve("dew")].map((c) => (
          <path key={c.kind} class="ph-dome" d={pathOf(c.points, scales)} />
        ))}
        {others.map((o) => (
          <path key={o.place} class="ph-other" d={loopOf(o, scales)} />
        ))}
        <path class="ph-cycle" d={loopOf(cycle, scales)} />
        {cycle.points.map((p) => (
          <circle key={p.key} class={p.assumed ? "ph-point ph-assumed" : "ph-point"} cx={scales.x(p.h)} cy={scales.y(p.p)} r={p.key === "suction" || p.key === "discharge" || p.key === "liquid" ? 6 : 4} />
        ))}
      </g>
      {isothermNames(dome, scales).map(({ value, x }) => (
        <text key={value} class="ph-t" x={x} y={box.top + 12} text-anchor="middle">{units.number(value, "temperature", -1)}</text>
      ))}
      <Spans cycle={cycle} scales={scales} units={units} />
    </svg>
  );
}
