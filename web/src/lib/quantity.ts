/**
 * Quantities as people type them, on the page's side: enough to show, to echo and to add a remembered unit.
 * The server has the last word on what a text means; what is not understood here is sent as it was typed.
 */
export type Dimension = 'length' | 'angle';

interface UnitFact {
  dimension: Dimension;
  /** SI value of one unit. */
  factor: number;
  spellings: readonly string[];
}

const degree = Math.PI / 180;

/** The inch is 25.4 mm exactly (NIST SP 811, 2008, appendix B). */
export const units = {
  in: { dimension: 'length', factor: 0.0254, spellings: ['in', 'inch', 'inches', 'ins', '"'] },
  thou: { dimension: 'length', factor: 0.0000254, spellings: ['thou', 'thous', 'thousandth', 'thousandths'] },
  mm: { dimension: 'length', factor: 0.001, spellings: ['mm', 'millimetre', 'millimetres', 'millimeter', 'millimeters'] },
  cm: { dimension: 'length', factor: 0.01, spellings: ['cm'] },
  um: { dimension: 'length', factor: 1e-6, spellings: ['um', 'micron', 'microns'] },
  deg: { dimension: 'angle', factor: degree, spellings: ['deg', 'degs', 'degree', 'degrees', '°'] },
} as const satisfies Record<string, UnitFact>;

export type UnitName = keyof typeof units;

/** What a field's digits may stand for: a unit, or the side of a dead centre on a wheel; empty: not chosen yet. */
export type FieldUnit = UnitName | 'BTDC' | 'ATDC' | 'BBDC' | 'ABDC' | '';

export const wheelUnits: readonly FieldUnit[] = ['deg', 'BTDC', 'ATDC', 'BBDC', 'ABDC'];

export const isUnit = (unit: string): unit is UnitName => Object.hasOwn(units, unit);

export const unitsOf: Record<Dimension, readonly UnitName[]> = { length: ['in', 'thou', 'mm'], angle: ['deg'] };

/** A number as typed: sign, decimal point or comma, or a common fraction ("1/8", "1-1/8"). Nothing for other texts. */
export function parseNumber(text: string): number | undefined {
  const typed = text.trim().replace(/^\u2212/, '-');
  const fraction = /^([+-]?)(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(typed);
  if (fraction) {
    const [, sign, whole, over, under] = fraction;
    if (Number(under) === 0) return undefined;
    const size = Number(whole ?? 0) + Number(over) / Number(under);
    return sign === '-' ? -size : size;
  }
  // "1,270" is twelve hundred and seventy to one and one and a quarter to another: refused.
  if (/,\d{3}$/.test(typed) && !/^[+-]?0,/.test(typed)) return undefined;
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(typed)) return undefined;
  const value = Number(typed.replace(',', '.'));
  return Number.isFinite(value) ? value : undefined;
}

export const isBareNumber = (text: string): boolean => parseNumber(text) !== undefined;

export interface ParsedQuantity {
  si: number;
  unit: UnitName;
  number: number;
}

/** A number with its unit. Nothing for a bare number: units are never guessed. */
export function parseQuantity(text: string, dimension: Dimension): ParsedQuantity | undefined {
  const match = /^(.*?[\d.,/])\s*([^\d.,\s/+-].*)$/.exec(text.trim());
  if (!match) return undefined;
  const [, digits = '', word = ''] = match;
  const number = parseNumber(digits);
  const lower = word.trim().toLowerCase();
  if (number === undefined) return undefined;
  for (const name of Object.keys(units) as UnitName[]) {
    const fact: UnitFact = units[name];
    if (fact.dimension === dimension && fact.spellings.includes(lower)) {
      return { si: number * fact.factor, unit: name, number };
    }
  }
  return undefined;
}

/** What the document gets: a bare number takes the field's remembered unit, anything else stays as typed. */
export function withUnit(text: string, unit: FieldUnit): string {
  const typed = text.trim();
  return isBareNumber(typed) ? `${typed.replace(/^\u2212/, '-')} ${unit}`.trim() : typed;
}

/** What was typed, with the unit apart where it is one of `known`: the field shows that beside the digits. */
export function splitUnit(text: string, known: readonly FieldUnit[]): { digits: string; unit: FieldUnit | undefined } {
  const match = /^(.*?[\d.,/])\s*([a-z]+)$/i.exec(text.trim());
  const [, digits, word] = match ?? [];
  const unit = known.find((one) => one === word);
  return digits !== undefined && unit !== undefined && isBareNumber(digits) ? { digits, unit } : { digits: text, unit: undefined };
}

export const fromSi = (si: number, unit: UnitName): number => si / units[unit].factor;

/** Angle brought to 0 <= degrees < 360. */
export const wrap360 = (degrees: number): number => {
  const turned = degrees % 360;
  const positive = turned < 0 ? turned + 360 : turned;
  return positive >= 360 ? 0 : positive;
};

/** Angle brought to -180 < degrees <= 180. */
export const wrap180 = (degrees: number): number => {
  const positive = wrap360(degrees);
  return positive > 180 ? positive - 360 : positive;
};
