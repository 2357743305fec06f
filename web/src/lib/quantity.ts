/**
 * Quantities as people type them, on the page's side: enough to show, to echo and to add a remembered unit.
 * The server has the last word on what a text means; what is not understood here is sent as it was typed.
 */
export type Dimension = 'length' | 'angle' | 'force' | 'rate' | 'pressure' | 'speed' | 'mass' | 'area' | 'ratio' | 'volume' | 'torque' | 'viscosity' | 'velocity';

/** A person's choice between the two systems, named by its length. */
export type LengthUnit = 'in' | 'mm';

interface UnitFact {
  dimension: Dimension;
  /** SI value of one unit. */
  factor: number;
  spellings: readonly string[];
}

const degree = Math.PI / 180;

const inch = 0.0254;
/** The avoirdupois pound under standard gravity. */
const poundForce = 0.45359237 * 9.80665;

/** The inch is 25.4 mm, the pound 0.45359237 kg, standard gravity 9.80665 m/s2, all exactly (NIST SP 811, 2008, appendix B). */
export const units = {
  in: { dimension: 'length', factor: inch, spellings: ['in', 'inch', 'inches', 'ins', '"'] },
  thou: { dimension: 'length', factor: 0.0000254, spellings: ['thou', 'thous', 'thousandth', 'thousandths'] },
  mm: { dimension: 'length', factor: 0.001, spellings: ['mm', 'millimetre', 'millimetres', 'millimeter', 'millimeters'] },
  cm: { dimension: 'length', factor: 0.01, spellings: ['cm'] },
  um: { dimension: 'length', factor: 1e-6, spellings: ['um', 'micron', 'microns'] },
  deg: { dimension: 'angle', factor: degree, spellings: ['deg', 'degs', 'degree', 'degrees', '°'] },
  lb: { dimension: 'force', factor: poundForce, spellings: ['lb', 'lbs', 'lbf', 'lbsf', 'pound', 'pounds', '#'] },
  N: { dimension: 'force', factor: 1, spellings: ['n', 'newton', 'newtons'] },
  'lb/in': { dimension: 'rate', factor: poundForce / inch, spellings: ['lb/in', 'lbs/in', 'lbf/in', 'lb/inch', 'lbs/inch', 'lbf/inch', '#/in'] },
  'N/mm': { dimension: 'rate', factor: 1000, spellings: ['n/mm'] },
  psi: { dimension: 'pressure', factor: poundForce / (inch * inch), spellings: ['psi', 'lb/in2', 'lbf/in2'] },
  kPa: { dimension: 'pressure', factor: 1000, spellings: ['kpa'] },
  MPa: { dimension: 'pressure', factor: 1e6, spellings: ['mpa', 'n/mm2'] },
  rpm: { dimension: 'speed', factor: Math.PI / 30, spellings: ['rpm', 'rev/min'] },
  g: { dimension: 'mass', factor: 0.001, spellings: ['g', 'gram', 'grams'] },
  oz: { dimension: 'mass', factor: 0.45359237 / 16, spellings: ['oz', 'ounce', 'ounces'] },
  mm2: { dimension: 'area', factor: 1e-6, spellings: ['mm2', 'sq mm'] },
  'sq in': { dimension: 'area', factor: inch * inch, spellings: ['sq in', 'in2'] },
  cc: { dimension: 'volume', factor: 1e-6, spellings: ['cc', 'cm3', 'ml'] },
  'cu in': { dimension: 'volume', factor: inch ** 3, spellings: ['cu in', 'in3', 'ci'] },
  'ft lb': { dimension: 'torque', factor: 12 * inch * poundForce, spellings: ['ft lb', 'ft lbs', 'lb ft', 'ft lbf'] },
  'in lb': { dimension: 'torque', factor: inch * poundForce, spellings: ['in lb', 'in lbs', 'lb in', 'in lbf'] },
  'N m': { dimension: 'torque', factor: 1, spellings: ['n m', 'nm'] },
  hPa: { dimension: 'pressure', factor: 100, spellings: ['hpa', 'mbar'] },
  bar: { dimension: 'pressure', factor: 1e5, spellings: ['bar'] },
  ':1': { dimension: 'ratio', factor: 1, spellings: [':1', 'to 1'] },
  'm/s': { dimension: 'velocity', factor: 1, spellings: ['m/s'] },
  'ft/s': { dimension: 'velocity', factor: 12 * inch, spellings: ['ft/s'] },
  'mPa s': { dimension: 'viscosity', factor: 0.001, spellings: ['mpa s', 'mpas', 'cp'] },
} as const satisfies Record<string, UnitFact>;

export type UnitName = keyof typeof units;

/** What a field's digits may stand for: a unit, or the side of a dead centre on a wheel; empty: not chosen yet. */
export type FieldUnit = UnitName | 'BTDC' | 'ATDC' | 'BBDC' | 'ABDC' | '';

export const wheelUnits: readonly FieldUnit[] = ['deg', 'BTDC', 'ATDC', 'BBDC', 'ABDC'];

export const isUnit = (unit: string): unit is UnitName => Object.hasOwn(units, unit);

export const unitsOf: Record<Dimension, readonly UnitName[]> = {
  length: ['in', 'thou', 'mm'], angle: ['deg'], force: ['lb', 'N'], rate: ['lb/in', 'N/mm'], pressure: ['psi', 'kPa', 'bar', 'hPa', 'MPa'],
  speed: ['rpm'], mass: ['g', 'oz'], area: ['sq in', 'mm2'], ratio: [':1'], viscosity: ['mPa s'], volume: ['cc', 'cu in'], torque: ['ft lb', 'in lb', 'N m'],
  velocity: ['ft/s', 'm/s'],
};

/** The unit of each dimension in the person's system. */
const usual: Record<LengthUnit, Record<Dimension, UnitName>> = {
  in: { length: 'in', angle: 'deg', force: 'lb', rate: 'lb/in', pressure: 'psi', speed: 'rpm', mass: 'g', area: 'sq in', ratio: ':1', viscosity: 'mPa s', volume: 'cc', torque: 'ft lb', velocity: 'ft/s' },
  mm: { length: 'mm', angle: 'deg', force: 'N', rate: 'N/mm', pressure: 'MPa', speed: 'rpm', mass: 'g', area: 'mm2', ratio: ':1', viscosity: 'mPa s', volume: 'cc', torque: 'N m', velocity: 'm/s' },
};

const ofSi: Readonly<Record<string, Dimension>> = { m: 'length', rad: 'angle', N: 'force', 'N/m': 'rate', Pa: 'pressure', 'rad/s': 'speed', kg: 'mass', m2: 'area', '1': 'ratio', 'Pa s': 'viscosity', m3: 'volume', 'N m': 'torque', 'm/s': 'velocity' };

/** What a finding's SI unit measures. */
export const dimensionOfSi = (unit: string): Dimension | undefined => ofSi[unit];

/** Pressures under this are said in kPa, greater ones (stresses) in MPa. */
const onlyKilo = 1e6;

export function usualUnit(dimension: Dimension, system: LengthUnit, si = Infinity): UnitName {
  return system === 'mm' && dimension === 'pressure' && Math.abs(si) < onlyKilo ? 'kPa' : usual[system][dimension];
}

/** The other system's unit of the same dimension, where there is one. */
export function otherUnit(unit: UnitName, si: number): UnitName | undefined {
  const { dimension } = units[unit];
  const other = usualUnit(dimension, metric(unit) ? 'in' : 'mm', si);
  return other === unit || metric(other) === metric(unit) ? undefined : other;
}

const metric = (unit: UnitName): boolean => ['mm', 'cm', 'um', 'N', 'N/mm', 'kPa', 'MPa', 'mm2', 'g', 'cc', 'N m', 'hPa', 'bar', 'm/s'].includes(unit);

/** Of a field, what its digits measure: `of` says it of lists that hold now lengths, now forces. */
interface Measured { type: string; of?: Dimension | undefined }

const ofType: Readonly<Record<string, Dimension>> = { wheel_list: 'angle', position: 'angle', points: 'length', measure_list: 'length' };

export const dimensionOf = ({ type, of }: Measured): Dimension | undefined => of ?? ofType[type] ?? (Object.hasOwn(unitsOf, type) ? (type as Dimension) : undefined);

/** What the digits of a field may stand for. */
export function unitsFor(field: Measured): readonly FieldUnit[] {
  const dimension = dimensionOf(field);
  return field.type === 'wheel' ? wheelUnits : dimension ? unitsOf[dimension] : [];
}

/** What a field's digits stand for until another unit is chosen; nothing for what has none. */
export function unitToStart(field: Measured, system: LengthUnit): FieldUnit {
  const dimension = dimensionOf(field);
  return field.type === 'wheel' ? 'deg' : dimension ? usualUnit(dimension, system) : '';
}

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
  const match = /^(.*?[\d.,/])\s*((?:[a-z]|:1)[a-z0-9/ ]*)$/i.exec(text.trim());
  const [, digits, word] = match ?? [];
  const spelt = (one: FieldUnit): boolean => isUnit(one) && (units[one].spellings as readonly string[]).includes(word?.toLowerCase() ?? '');
  const unit = known.find((one) => one === word) ?? known.find(spelt);
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
