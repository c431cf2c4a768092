/** How a dimension is shown: shown = (si - offset) / scale. */
export interface DisplayUnit {
  symbol: string;
  scale: number;
  offset: number;
  digits: number;
}
export type UnitSystem = "si" | "ip";
export type Dimensions = Record<string, Record<UnitSystem, DisplayUnit>>;

const plain: DisplayUnit = { symbol: "", scale: 1, offset: 0, digits: 3 };

let dimensions: Dimensions = {};

/** Called once, with what the server says: the program's table is the only one. */
export function setDimensions(table: Dimensions): void {
  dimensions = table;
}

export function unitOf(dimension: string, system: UnitSystem): DisplayUnit {
  return dimensions[dimension]?.[system] ?? plain;
}

export function toShown(si: number, unit: DisplayUnit): number {
  return (si - unit.offset) / unit.scale;
}

export function fromShown(shown: number, unit: DisplayUnit): number {
  return shown * unit.scale + unit.offset;
}

/** Digits as the program's own tables show them, with a real minus sign; an en dash for what is not known. */
export function numberText(si: number | null | undefined, unit: DisplayUnit, more = 0): string {
  if (si === null || si === undefined || !Number.isFinite(si)) return "–";
  return grouped(fixed(toShown(si, unit), Math.max(0, unit.digits + more)));
}

/** Narrow spaces between groups of three digits, from five digits in front of the point on, as the program writes them. */
function grouped(text: string): string {
  return text.replace(/^(\D?)(\d{5,})/, (_, sign: string, whole: string) => sign + whole.replace(/\B(?=(\d{3})+$)/g, "\u202f"));
}

export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const zero = Number(text) === 0;
  return (zero ? text.replace("-", "") : text).replace("-", "−");
}

/** "12.3 °C" with a space that does not break. */
export function quantityText(
  si: number | null | undefined,
  dimension: string,
  system: UnitSystem,
  more = 0,
): string {
  const unit = unitOf(dimension, system);
  const number = numberText(si, unit, more);
  return unit.symbol === "" || number === "–" ? number : `${number}\u00a0${unit.symbol}`;
}
