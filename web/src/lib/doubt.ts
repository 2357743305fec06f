/** Numbers with their doubt, shown with as many digits as the doubt allows (JCGM 100:2008, 7.2.6). */
import { fromSi, type UnitName } from './quantity.ts';

export type LengthUnit = 'in' | 'mm';

const minus = '\u2212';
const most = 6;

/** Decimals at which the expanded uncertainty keeps two significant digits. */
export function decimalsFor(expanded: number): number {
  if (!Number.isFinite(expanded) || expanded <= 0) return most;
  // Rounded first, so that 0.0996 (which rounds to 0.10) gets two decimals, not three.
  const rounded = Number(expanded.toPrecision(2));
  return Math.min(most, Math.max(0, 1 - Math.floor(Math.log10(rounded) + 1e-12)));
}

export function showNumber(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  const zero = Number(text) === 0;
  return text.startsWith('-') ? (zero ? text.slice(1) : minus + text.slice(1)) : text;
}

export function shownUnit(unit: string, length: LengthUnit): UnitName | undefined {
  if (unit === 'rad') return 'deg';
  if (unit === 'm') return length;
  return undefined;
}

const usual: Record<string, number> = { deg: 1, in: 4, mm: 3 };

export interface Shown {
  value: string;
  doubt: string | undefined;
  unit: string;
  decimals: number;
}

/** A value of the report (SI) with its doubt, in the person's unit. */
export function show(value: number, expanded: number | undefined, unit: string, length: LengthUnit): Shown {
  const name = shownUnit(unit, length);
  const convert = (si: number): number => (name ? fromSi(si, name) : si);
  const shownDoubt = expanded === undefined ? undefined : convert(expanded);
  const usable = shownDoubt !== undefined && shownDoubt > 0 && Number.isFinite(shownDoubt);
  const decimals = usable ? decimalsFor(shownDoubt) : (usual[name ?? ''] ?? 3);
  return {
    value: showNumber(convert(value), decimals),
    doubt: usable ? showNumber(shownDoubt, decimals) : undefined,
    unit: name ?? unit,
    decimals,
  };
}

/** A limit: as many digits as it needs, no more than the usual and one. */
export function showLimit(si: number, unit: string, length: LengthUnit): string {
  const name = shownUnit(unit, length);
  const value = name ? fromSi(si, name) : si;
  const decimals = (usual[name ?? ''] ?? 3) + (name === 'deg' ? 1 : 0);
  return showNumber(Number(value.toFixed(decimals)), decimals).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '');
}

/** "106 to 110 deg", "109 deg or less", "0.08 in or more" */
export function limitText({ min, max }: { min?: number | null; max?: number | null }, unit: string, length: LengthUnit): string {
  const name = shownUnit(unit, length) ?? unit;
  const [least, most] = [min, max].map((si) => (si == null ? undefined : showLimit(si, unit, length)));
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
