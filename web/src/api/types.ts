import type { Clock } from "../base/time.ts";
import type { Dimensions } from "../base/units.ts";

// The shapes of docs/design/workbench.md, docs/user/check-json.md and docs/user/fieldwork/json.md.

export type Verdict = "ok" | "unproven" | "watch" | "fault" | "not_asked";

export interface Failure {
  code: string;
  message: string;
  where?: string;
  fix?: string;
}

export interface About {
  name: string;
  version: string;
  upload_limit: number;
  folder: string;
  cautions: string[];
  dimensions: Dimensions;
  refrigerants: string[];
  examples: { id: string; title: string }[];
  /** What a channel can measure, for the lists of choices. */
  quantities: { name: string; label: string; dimension: string }[];
}

export interface Options {
  mode?: string;
  refrigerant?: string;
  target?: string;
  altitude?: string;
  barometer?: string;
  limits?: string;
}

export interface RecordingInfo {
  id: string;
  name: string;
  taken_in: string;
  demo: boolean;
  bytes: number;
  files: { name: string; bytes: number }[];
  has_sheet: boolean;
  options: Options;
  summary: {
    verdict: Verdict;
    healthy: string;
    start_ms: number;
    end_ms: number;
    rows: number;
    channels: number;
  } | null;
}

export interface ChannelInfo {
  name: string;
  place: string;
  place_label: string;
  kind: string;
  quantity: string;
  label: string;
  dimension: string;
  interval_s: number;
  derived: boolean;
  origin: string;
  words?: string[];
}

export interface Channels {
  start_ms: number;
  end_ms: number;
  rows: number;
  clock: Clock;
  channels: ChannelInfo[];
}

export interface Phase {
  phase: string;
  start_ms: number;
  end_ms: number;
  why: string;
}

export interface Phases {
  system: Phase[];
  modules: { place: string; label: string; phases: Phase[] }[];
  defrosts: { place: string; start_ms: number; end_ms: number }[];
  windows: { start_ms: number; end_ms: number; phase: string }[];
}

export interface Evidence {
  verdict: Verdict;
  start: string;
  end: string;
  value: number;
  limit: number;
  unit: string;
  /** Of value and limit: a difference in K is no temperature. */
  dimension: string;
  held_seconds: number;
}

export interface Check {
  id: string;
  title?: string;
  place: string;
  verdict: Verdict;
  because: string;
  channel: string;
  observed_seconds: number;
  evidence: Evidence[];
  proof?: string;
  /** Of unproven ones: what it needs and the recording has not, "outdoor.1.discharge_pressure" or a quantity of any place. */
  missing?: string[];
}

export interface Reject {
  counter: string;
  file: string;
  line: number;
  column: string;
  text: string;
  reason: string;
}

export type Counters = Record<string, { count: number; severity: string; meaning: string }>;

export interface VerdictJson {
  schema: string;
  program: { name: string; version: string };
  verdict: Verdict;
  judged_verdict: Verdict;
  answers: { healthy: string; wrong: string[]; wrong_by_root: { text: string; follows: string[] }[]; not_judged: string[] };
  refrigerant: string;
  barometric_pressure: { value: number; unit: string };
  system: { name: string; lines: string[] } | null;
  recordings: { file: string; hash: string; bytes: number; rows: number }[];
  span: { start: string; end: string; rows: number };
  assumptions: string[];
  notes: string[];
  quality: {
    counters: Counters;
    rejects: Reject[];
    columns_understood: unknown[];
    columns_not_understood: string[];
  };
  checks: Check[];
  verdict_by_check: Record<string, Verdict>;
  limits: {
    sheet: string;
    figures: { key: string; text: string; source: string; note: string; overridden: boolean }[];
  };
  cautions: string[];
}

export interface CyclePoint {
  key: string;
  label: string;
  p: number;
  h: number;
  T: number;
  state: "vapour" | "two-phase" | "liquid";
  assumed: boolean;
}

export interface ModuleCycle {
  place: string;
  label: string;
  phase: string;
  discharge_pressure: number | null;
  suction_pressure: number | null;
  condensing: number | null;
  evaporating: number | null;
  discharge_superheat: number | null;
  suction_superheat: number | null;
  subcooling: number | null;
  points: CyclePoint[];
  notes: string[];
}

export interface CycleFrame {
  at_ms: number;
  modules: ModuleCycle[];
}

export interface Dome {
  refrigerant: string;
  range: { p_low: number; p_high: number; h_low: number; h_high: number };
  critical: { T: number; p: number; h: number };
  curves: { kind: string; value: number; two_phase: boolean; points: [number, number][] }[];
}

export interface UnitRow {
  place: string;
  label: string;
  trouble: number;
  calling_s: number;
  away_s: number;
  verdict: Verdict;
  state: string;
  deviation: (number | null)[];
}

export interface UnitsJson {
  from_ms: number;
  to_ms: number;
  points: number;
  units: UnitRow[];
}

export interface SheetJson {
  name: string;
  refrigerant: string;
  heat_recovery: boolean;
  totals: Record<string, number | string | null>;
  charge: { total_kg: number | null; factory_kg: number | null };
  outdoor: { id: string; name: string; accumulator_usable_m3: number | null; heating_W: number | null }[];
  branch: { id: string; name: string }[];
  indoor: { id: string; name: string; heating_W: number | null; room: string }[];
  pipes: {
    id: string;
    from: string;
    to: string;
    length_m: number;
    rise_m: number;
    liquid: { size: string } | null;
    gas: { size: string } | null;
    third: { size: string } | null;
  }[];
  assumptions: { place: string; key: string; reason: string }[];
  warnings: { where: string; message: string }[];
}

export interface SheetAnswer {
  toml: string;
  sheet: SheetJson;
  svg: string;
}

export interface TwinFaults {
  modules?: Record<string, number>[];
  units?: Record<string, number>[];
  non_condensables_mol?: number;
}

export interface TwinAsk {
  sheet?: string;
  recording?: string;
  example?: string;
  mode: "heating" | "cooling";
  outdoor: number;
  room?: number;
  calls?: boolean[];
  charge?: number;
  faults?: TwinFaults;
}

export type Placed = { place: string } & Record<string, number | string | boolean | null>;

export interface TwinAnswer {
  charge_kg: number;
  activity: string;
  readings: { outdoor_temperature: number; modules: Placed[]; units: Placed[] };
  inventory: {
    total: number;
    gas_line: number;
    liquid_line: number;
    third_line: number;
    modules: {
      place: string;
      coil: number;
      accumulator: number;
      discharge: number;
      dissolved: number;
      accumulator_level: number;
    }[];
    units: { place: string; coil: number; parked: boolean | number }[];
  };
  insight: {
    heat_to_rooms: number;
    heat_from_outdoors: number;
    power: number;
    condensing: number;
    evaporating: number;
    modules: Placed[];
    units: Placed[];
  };
  limits: { what: string; place: string; value: number; limit: number; unit: string; trips: boolean }[];
  trips: boolean;
  floods: boolean;
  /** What this state is, in a sentence. */
  why: string;
  assumptions: string[];
}

export interface MapCell {
  solved: boolean;
  trips: boolean;
  floods: boolean;
  why: string;
  condensing_pressure?: number;
  discharge_temperature?: number;
  subcooling?: number;
  accumulator_level?: number;
  suction_quality?: number;
  heat_to_rooms?: number;
}

export interface TwinMap {
  outdoors: number[];
  charges: number[];
  cells: MapCell[][];
  assumptions: string[];
}

export interface Field {
  name: string;
  value_name: string;
  kind: "quantity" | "choice" | "switch" | "text" | "day" | "file";
  units: string[];
  choices: string[];
  help: string;
  repeatable: boolean;
  asked: boolean;
}

export interface Procedure {
  name: string;
  title: string;
  fields: Field[];
}

export interface FieldSheet {
  schema: string;
  verdict: string | null;
  because: string[];
  inputs: Record<string, unknown>;
  results: Record<string, unknown>;
  tables?: Record<string, Record<string, unknown>[]>;
  formulas: { what?: string; formula: string; with_numbers: string; result: string; source: string }[];
  details: Record<
    string,
    Record<string, { label: string; unit: string; source: string; low?: number; high?: number }>
  >;
  next: string[];
  cannot_show: string[];
  cautions: string[];
  sources: string[];
  who_decides: string | string[];
}

export interface Survey {
  files: SurveyFile[];
  counters: Counters;
  rejects: Reject[];
  assumptions: string[];
}

export interface SurveyColumn {
  position: number;
  header: string;
  unit: string;
  role: string;
  numbers: number;
  texts: number;
  channel?: string;
  lowest?: number;
  median?: number;
  highest?: number;
  words?: Record<string, number>;
}

export interface SurveyProposal {
  kind: string;
  column: string;
  what: string;
  confidence: number;
  evidence: string;
  toml: string;
}

export interface SurveyFile {
  file: string;
  format: string;
  shape: string;
  titles: string[];
  findings: { what: string; confidence: number; reason: string }[];
  clock: { form: string; order: string; confidence: number; reason: string; zone?: string; error?: string };
  rows: number;
  first: string;
  last: string;
  /** Null where the clock is not decided, and of a single row; so are the numbers of `gaps`. */
  interval_s: number | null;
  gaps: { count: number | null; longest_s: number | null; longest_from: string; total_s: number | null };
  columns: SurveyColumn[];
  proposals: SurveyProposal[];
}

export interface Progress {
  fraction: number | null;
  what: string;
  rate?: string;
  text?: string;
}

/** One reading that speaks for or against a cause; docs/user/diagnose.md. */
export interface Point {
  what: string;
  dimension: string;
  seen: number | null;
  healthy: number | null;
  with_cause: number | null;
  uncertainty: number | null;
  relative: boolean;
}

export interface Cause {
  cause: string;
  title: string;
  place: string;
  probability: number | null;
  severity: number | null;
  severity_text: string;
  for: Point[];
  against: Point[];
  checks: string[];
  cannot_be_told_from: string[];
  owner: string;
  look: string;
}

export interface ChargeAnswer {
  verdict: "estimated" | "unproven";
  sheet_kg: number | null;
  because: string;
  kg?: number | null;
  low_kg?: number | null;
  high_kg?: number | null;
}

export interface DesignDay {
  mode: string;
  outdoor_temperature: number | null;
  machine: string;
  verdict: "calculated" | "unproven";
  capacity_W?: number | null;
  healthy_capacity_W?: number | null;
  discharge_temperature?: number | null;
  discharge_limit?: number | null;
  slowed_by_a_limit?: boolean;
  accumulator_level?: number | null;
}

export interface Diagnosis {
  answer: string;
  named: string | null;
  unproven: string | null;
  system: string | null;
  generic: boolean;
  compared_with_sound: boolean;
  moments: { start: string; end: string; phase: string; outdoor_temperature: number | null; units_calling: number }[];
  readings: number;
  healthy: number | null;
  unknown: number | null;
  causes: Cause[];
  two_at_once: { first: string; second: string; probability: number }[];
  not_calculated: string[];
  next: { test: string; do: string; place: string | null; effort_s: number; information_bits: number }[];
  charge: ChargeAnswer | null;
  inventory: { part: string; kg: number | null; low_kg: number | null; high_kg: number | null }[];
  design_days: DesignDay[];
  assumptions: number;
  notes: string[];
  rests_on: string[];
  cautions: string[];
}
