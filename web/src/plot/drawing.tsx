import { useMemo } from "preact/hooks";
import type { SheetJson, TwinAnswer } from "../api/types.ts";
import { networkOf, type Node, type Run } from "../base/network.ts";
import { fixed } from "../base/units.ts";
import { Fold } from "../part/bits.tsx";
import { useSize } from "./canvas.ts";
import { useUnits, type Shown } from "../part/session.ts";
import { placeWords } from "../base/names.ts";

export type Values = ReadonlyMap<string, number>;

const left = 300;
const top = 30;

/** Room of the picture: on a tablet the pipes move together and the boxes of units become tall, so that letters stay large. */
interface Room {
  columns: number;
  width: number;
  right: number;
  /** Of a unit. */
  row: number;
  tall: boolean;
}

function roomFor(container: number, columns: number): Room {
  return container > 0 && container < 1050
    ? { columns, width: Math.max(740, container), right: 240, row: 66, tall: true }
    : { columns, width: 1180, right: 400, row: 44, tall: false };
}

/** Where the texts of a unit's box stand, from its left edge and its pipe. */
const unitPlaces = {
  wide: { name: [10, -2], state: [10, 15], gas: [172, -2], liquid: [172, 15], room: [280, -2], off: [280, 15] },
  tall: { name: [10, -1], state: [226, -1], gas: [10, 17], liquid: [122, 17], room: [10, 35], off: [122, 35] },
} as const;

function nameOf(id: string, name: string | undefined): string {
  if (!name) return placeWords(id);
  const text = `${id.slice(id.lastIndexOf(".") + 1)} · ${name}`;
  return text.length > 19 ? `${text.slice(0, 18)}…` : text;
}

function place(node: Node, { columns, width, right, row }: Room): [number, number] {
  if (node.kind === "outdoor") return [left, top + node.row * row + 22];
  if (node.kind === "indoor") return [width - right, top + node.row * row + 14];
  const inner = width - right - left - 60;
  return [left + 40 + (inner * Math.max(0, node.column - 1)) / Math.max(1, columns - 2), top + node.row * row + 14];
}

function runName(run: Run): string {
  return `${placeWords(run.from.id)} to ${placeWords(run.to.id)}`;
}

/** What the picture says of a pipe only where a mouse rests on it. */
export function Pipes({ sheet }: { sheet: SheetJson }) {
  const units = useUnits();
  const { runs } = useMemo(() => networkOf(sheet), [sheet]);
  return (
    <Fold title={`The pipes, with their sizes (${runs.length})`}>
      <div tabIndex={0} class="wide-table tall">
        <table class="pipes">
          <thead>
            <tr>
              <th scope="col">From, to</th>
              <th scope="col" class="n">Length</th>
              <th scope="col" class="n">Rise</th>
              <th scope="col">Sizes</th>
            </tr>
          </thead>
          <tbody>
            {runs.map((run) => (
              <tr key={`${run.from.id} ${run.to.id}`}>
                <th scope="row">{runName(run)}</th>
                <td class="n">{units.text(run.length, "length")}</td>
                <td class="n">{units.text(run.rise, "length")}</td>
                <td>{run.sizes}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </Fold>
  );
}

/** Two lines side by side, along first, then across: gas thick, liquid thin and dashed. */
function Pipe({ run, room, units }: { run: Run; room: Room; units: Shown }) {
  const [x1, y1] = place(run.from, room);
  const [x2, y2] = place(run.to, room);
  const bend = run.from.kind === "outdoor" ? x2 : x1;
  const path = (dx: number, dy: number) =>
    run.from.kind === "outdoor"
      ? `M${x1} ${y1 + dy}H${bend + dx}V${y2 + dy}`
      : `M${x1 + dx} ${y1 + dy}V${y2 + dy}H${x2}`;
  const text = units.text(run.length, "length", -9);
  return (
    <g class="pipe">
      <title>{`${runName(run)}: ${units.text(run.length, "length")}, rise ${units.text(run.rise, "length")}, ${run.sizes}`}</title>
      <path class="pipe-gas" d={path(-3, -3)} />
      <path class="pipe-liquid" d={path(3, 3)} />
      {run.third ? <path class="pipe-third" d={path(0, 0)} /> : null}
      {Math.abs(x2 - x1) > 50 ? (
        <text x={run.from.kind === "outdoor" ? x1 + 8 : x2 - 8} y={(run.from.kind === "outdoor" ? y1 : y2) - 8} text-anchor={run.from.kind === "outdoor" ? "start" : "end"}>{text}</text>
      ) : null}
    </g>
  );
}

function value(values: Values, place: string, quantity: string): number | undefined {
  return values.get(`${place}.${quantity}`) ?? values.get(`${place}.compressor.1.${quantity}`);
}

function Accumulator({ x, y, level, text }: { x: number; y: number; level: number | undefined; text: string }) {
  const h = 62;
  const filled = level === undefined ? 0 : Math.min(1.15, Math.max(0, level)) * (h * 0.8);
  return (
    <g class="vessel">
      <title>{text}</title>
      <rect x={x} y={y} width="26" height={h} rx="10" />
      {level === undefined ? null : <rect class="vessel-liquid" x={x + 3} y={y + h - 3 - filled} width="20" height={filled} rx="6" />}
      <line x1={x - 4} x2={x + 30} y1={y + h * 0.17} y2={y + h * 0.17} class="vessel-outlet" />
    </g>
  );
}

function Module({ node, index, sheet, values, answer, space, units }: {
  node: Node;
  index: number;
  sheet: SheetJson;
  values: Values;
  answer: TwinAnswer | undefined;
  space: Room;
  units: Shown;
}) {
  const y = top + node.row * space.row - 18;
  const level = answer?.inventory.modules[index]?.accumulator_level;
  const v = (q: string, d: string) => units.text(value(values, node.id, q), d);
  const rows: [string, string][] = [
    ["discharge", `${v("discharge_temperature", "temperature")}, ${v("discharge_pressure", "pressure")}`],
    ["suction", `${v("suction_temperature", "temperature")}, ${v("suction_pressure", "pressure")}`],
    ["coil", v("coil_temperature", "temperature")],
    ["compressor", v("compressor_frequency", "frequency")],
  ];
  return (
    <g class="module">
      <rect x="2" y={y} width={left - 2} height="118" rx="8" class="box" />
      <text x="14" y={y + 22} class="strong">{nameOf(node.id, sheet.outdoor[index]?.name)}</text>
      {rows.map(([label, text], i) => (
        <g key={label}>
          <text x="14" y={y + 44 + i * 20} class="quiet">{label}</text>
          <text x="104" y={y + 44 + i * 20}>{text}</text>
        </g>
      ))}
      <Accumulator x={left - 36} y={y + 44} level={level} text={level === undefined ? "Accumulator: level not known" : `Accumulator, predicted: ${fixed(100 * level, 0)} % of what fits below its outlet`} />
    </g>
  );
}

/** Beside the name there is little room in a tall box. */
function stateText(call: number | undefined, parked: boolean, tall: boolean): string {
  if (call === undefined) return tall ? "not logged" : "call not logged";
  if (call > 0.5) return "calls";
  if (parked) return tall ? "liquid in it" : "off, liquid in it";
  return tall ? "no call" : "does not call";
}

function Unit({ node, index, sheet, values, answer, space, units }: {
  node: Node;
  index: number;
  sheet: SheetJson;
  values: Values;
  answer: TwinAnswer | undefined;
  space: Room;
  units: Shown;
}) {
  const [x, y] = place(node, space);
  const at = unitPlaces[space.tall ? "tall" : "wide"];
  const spot = (key: keyof typeof at) => ({ x: x + at[key][0], y: y + at[key][1] });
  const call = value(values, node.id, "call");
  const calls = call !== undefined && call > 0.5;
  const room = value(values, node.id, "controlled_temperature");
  const set = value(values, node.id, "set_point");
  const off = room !== undefined && set !== undefined ? room - set : undefined;
  const kg = answer?.inventory.units[index];
  const parked = kg ? Boolean(kg.parked) : false;
  return (
    <g class={calls ? "unit unit-calls" : "unit"}>
      <rect x={x} y={y - 18} width={space.right - 4} height={space.row - 6} rx="6" class="box" />
      <text {...spot("name")} class="strong">{nameOf(node.id, sheet.indoor[index]?.name)}</text>
      <text {...spot("state")} text-anchor={space.tall ? "end" : "start"} class="quiet">{stateText(call, parked, space.tall)}</text>
      <text {...spot("gas")}>gas {units.text(value(values, node.id, "gas_pipe_temperature"), "temperature")}</text>
      <text {...spot("liquid")}>liquid {units.text(value(values, node.id, "liquid_pipe_temperature"), "temperature")}</text>
      <text {...spot("room")}>room {units.text(room, "temperature")}</text>
      <text {...spot("off")} class={off !== undefined && Math.abs(off) > 1.5 ? "strong" : "quiet"}>
        {off === undefined ? "" : `${off < 0 ? "−" : "+"}${units.text(Math.abs(off), "temperature_difference")}`}
      </text>
    </g>
  );
}

/** The machine as its pipes run, with what the log says at the cursor on each part. */
export function Drawing({ sheet, values, answer }: { sheet: SheetJson; values: Values; answer?: TwinAnswer }) {
  const units = useUnits();
  const net = useMemo(() => networkOf(sheet), [sheet]);
  const [ref, container] = useSize<HTMLDivElement>();
  const room = roomFor(container, net.columns);
  const height = top + net.rows * room.row + 60;
  const outdoor = [...values].find(([n]) => n.endsWith(".outdoor_temperature"))?.[1];
  return (
    <div tabIndex={0} class="drawing" ref={ref}>
      <svg viewBox={`0 0 ${room.width} ${height}`} role="img"
        aria-label={`Pipe network of ${sheet.name || "the machine"}: ${sheet.outdoor.length} outdoor modules, ${sheet.indoor.length} indoor units. The tables below have the values.`}>
        <text x="14" y={height - 34} class="quiet">Outdoor air {units.text(outdoor, "temperature")}</text>
        <g class="pipe-key">
          <path class="pipe-gas" d={`M${left} ${height - 38}h34`} />
          <text x={left + 42} y={height - 34}>gas line</text>
          <path class="pipe-liquid" d={`M${left + 120} ${height - 38}h34`} />
          <text x={left + 162} y={height - 34}>liquid line</text>
        </g>
        {net.runs.map((r) => <Pipe key={`${r.from.id} ${r.to.id}`} run={r} room={room} units={units} />)}
        {net.nodes.filter((n) => n.kind === "joint" || n.kind === "branch").map((n) => {
          const [x, y] = place(n, room);
          return n.kind === "branch" ? (
            <g key={n.id}>
              <rect x={x - 14} y={y - 12} width="28" height="24" class="box" />
              <title>{placeWords(n.id)}</title>
            </g>
          ) : <circle key={n.id} cx={x} cy={y} r="5" class="joint" />;
        })}
        {net.nodes.filter((n) => n.kind === "outdoor").map((n) => (
          <Module key={n.id} node={n} index={sheet.outdoor.findIndex((o) => o.id === n.id)} sheet={sheet} values={values} answer={answer} space={room} units={units} />
        ))}
        {net.nodes.filter((n) => n.kind === "indoor").map((n) => (
          <Unit key={n.id} node={n} index={sheet.indoor.findIndex((u) => u.id === n.id)} sheet={sheet} values={values} answer={answer} space={room} units={units} />
        ))}
      </svg>
    </div>
  );
}
