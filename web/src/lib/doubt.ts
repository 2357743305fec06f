/** Numbers with their doubt, shown with as many digits as the doubt allows (JCGM 100:2008, 7.2.6). */
import { dimensionOfSi, fromSi, usualUnit, type LengthUnit, type UnitName } from './quantity.ts';

export type { LengthUnit } from './quantity.ts';

const minus = '\u2212';
const most = 6;

/** Place of the last of two significant digits of the expanded uncertainty: decimals, or negative for tens and hundreds. */
function placesFor(expanded: number): number {
  if (!Number.isFinite(expanded) || expanded <= 0) return most;
  // Rounded first, so that 0.0996 (which rounds to 0.10) gets two decimals, not three.
  const rounded = Number(expanded.toPrecision(2));
  return Math.min(most, 1 - Math.floor(Math.log10(rounded) + 1e-12));
}

/** Decimals at which the expanded uncertainty keeps two significant digits. */
export const decimalsFor = (expanded: number): number => Math.max(0, placesFor(expanded));

/** With so many decimals; a negative number of them rounds to tens, hundreds... */
export function showNumber(value: number, decimals: number): string {
  const step = 10 ** -Math.min(0, decimals);
  const text = (Math.round(value / step) * step).toFixed(0);
  const shown = decimals < 0 ? text : value.toFixed(decimals);
  const zero = Number(shown) === 0;
  return shown.startsWith('-') ? (zero ? shown.slice(1) : minus + shown.slice(1)) : shown;
}

/** The person's unit for one of the report's; `si` is the size of what is shown. */
export function shownUnit(unit: string, length: LengthUnit, si?: number): UnitName | undefined {
  const dimension = dimensionOfSi(unit);
  return dimension && usualUnit(dimension, length, si);
}

/** Decimals where no doubt says them. */
const usual: Record<string, number> = { deg: 1, in: 4, mm: 3, lb: 1, N: 0, 'lb/in': 0, 'N/mm': 1, psi: 0, kPa: 1, MPa: 1, rpm: 0, g: 1, 'sq in': 3, mm2: 1, ':1': 2, cc: 1, 'cu in': 2, 'mPa s': 1, 'ft lb': 1, 'N m': 1 };

export interface Shown {
  value: string;
  doubt: string | undefined;
  unit: string;
  decimals: number;
}

/** A value of the report (SI) with its doubt, in the person's unit. */
export function show(value: number, expanded: number | undefined, unit: string, length: LengthUnit): Shown {
  const name = shownUnit(unit, length, value);
  const convert = (si: number): number => (name ? fromSi(si, name) : si);
  const shownDoubt = expanded === undefined ? undefined : convert(expanded);
  // Nothing but rounding is no doubt that anybody stated.
  const usable = shownDoubt !== undefined && shownDoubt > 1e-9 * Math.abs(convert(value)) && Number.isFinite(shownDoubt);
  const places = usable ? placesFor(shownDoubt) : (usual[name ?? ''] ?? 3);
  return {
    value: showNumber(convert(value), places),
    doubt: usable ? showNumber(shownDoubt, places) : undefined,
    unit: name ?? unit,
    decimals: Math.max(0, places),
  };
}

/** A limit: as many digits as it needs, no more than the usual and one. */
export function showLimit(si: number, unit: string, length: LengthUnit, size = si): string {
  const name = shownUnit(unit, length, size);
  const value = name ? fromSi(si, name) : si;
  const decimals = (usual[name ?? ''] ?? 3) + (name === 'deg' ? 1 : 0);
  return showNumber(Number(value.toFixed(decimals)), decimals).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '');
}

/** "106 to 110 deg", "109 deg or less", "0.08 in or more" */
export function limitText({ min, max }: { min?: number | null; max?: number | null }, unit: string, length: LengthUnit): string {
  const size = Math.max(Math.abs(min ?? 0), Math.abs(max ?? 0));
  const name = shownUnit(unit, length, size) ?? unit;
  const [least, most] = [min, max].map((si) => (si == null ? undefined : showLimit(si, unit, length, size)));
  if (least !== undefined && most !== undefined) return `${least} to ${most} ${name}`.trim();
  const [only, way] = least === undefined ? [most, 'less'] : [least, 'more'];
  return `${`${only} ${name}`.trim()} or ${way}`;
}

export interface Bar {
  /** Places along the bar, 0 to 1. */
  value: number;
  low: number;
  high: number;
  min: number | undefined;
  max: number | undefined;
}

/** Where value, doubt and limits stand along a bar that holds them all with some room. */
export function barOf(value: number, expanded: number, min: number | null | undefined, max: number | null | undefined): Bar {
  const edges = [value - expanded, value + expanded, min, max].filter((edge): edge is number => edge != null);
  const least = Math.min(...edges);
  const greatest = Math.max(...edges);
  const width = greatest - least;
  const room = width > 0 ? width * 0.15 : 1;
  const place = (at: number): number => (at - least + room) / (width + 2 * room);
  return {
    value: place(value),
    low: place(value - expanded),
    high: place(value + expanded),
    min: min == null ? undefined : place(min),
    max: max == null ? undefined : place(max),
  };
}
