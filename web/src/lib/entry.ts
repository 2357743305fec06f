/** From what was typed into a form of a reading to the reading, and to what should be asked before it is sent. */
import type { FieldDescription, FieldType, Json, ReadingDescription } from '../types/api.ts';
import type { Build, ToolKind } from '../types/build.ts';
import { parsePairs } from './pairs.ts';
import { dimensionOf, fromSi, isBareNumber, isUnit, otherUnit, parseNumber, parseQuantity, units, withUnit, type Dimension, type FieldUnit } from './quantity.ts';
import { echoWheel, parseWheel } from './wheel.ts';

export type Texts = Record<string, string>;
export type UnitOf = (field: FieldDescription) => FieldUnit;

/** Fields in sight: an exclusive choice ("lift" or "below_max") shows the chosen one only. */
export function shownFields(description: ReadingDescription, basis: string | undefined): FieldDescription[] {
  const { one_of: oneOf, exclusive, fields } = description;
  if (!exclusive || !oneOf) return fields;
  const chosen = basis !== undefined && oneOf.includes(basis) ? basis : oneOf[0];
  return fields.filter((field) => !oneOf.includes(field.key) || field.key === chosen);
}

/** What is asked for at once: all that is needed, and a second length that is read with the first (the width of a mark). */
export const upFront = (description: ReadingDescription, field: FieldDescription): boolean =>
  field.required === true || (description.one_of ?? []).includes(field.key) || (field.type === 'length' && readFields(description.fields).includes(field));

/** What a field starts with in a fresh form. */
export function startOf(field: FieldDescription, document: Build): string {
  if (field.key === 'fastener') return Object.keys(document.fasteners ?? {})[0] ?? '';
  if (field.type !== 'tool') return field.default ?? '';
  const tools = Object.entries(document.tools ?? {});
  const found = (field.tools ?? []).map((kind) => tools.find(([, tool]) => tool.kind === kind)).find((one) => one !== undefined);
  return found?.[0] ?? '';
}

/** Lengths, and one direction, that say where and how things stood while reading: what was read is something else. */
const standing: readonly string[] = ['shim', 'gasket', 'pushrod', 'stop_depth', 'milled', 'cut', 'deepened', 'along', 'around', 'shells', 'honed'];
const alwaysRead: readonly FieldType[] = ['wheel', 'wheel_list', 'points', 'angle', 'force', 'number', 'measure_list', 'volume', 'mass', 'pressure'];

/** Fields that are read off an instrument each time; lengths only where nothing else is read at them. */
export function readFields(fields: readonly FieldDescription[]): FieldDescription[] {
  const isRead = ({ type, key, required }: FieldDescription): boolean => (alwaysRead.includes(type) && !standing.includes(key)) || (type === 'torque' && required === true);
  const places = fields.some((field) => field.required && isRead(field));
  return fields.filter((field) => isRead(field) || (field.type === 'length' && !places && !standing.includes(field.key)));
}

/** The form after a reading was taken: values go, choices stay, the side of pairs turns over. */
export function afterTaking(fields: readonly FieldDescription[], texts: Readonly<Texts>): Texts {
  const next: Texts = {};
  const read = new Set(readFields(fields));
  for (const field of fields) {
    const text = texts[field.key] ?? '';
    if (read.has(field)) continue;
    const other = field.alternates ? field.choices?.find((choice) => choice.value !== text)?.value : undefined;
    next[field.key] = other ?? text;
  }
  return next;
}

/** What one line of a list says of a reading: what was read, and the rest that its title does not say. */
export function saidOf(description: ReadingDescription, reading: Readonly<Record<string, unknown>>): { value: string; besides: string } {
  const { fields } = description;
  const held = (field: FieldDescription): string => (field.type === 'points' ? `${(reading[field.key] as unknown[]).length} points` : textOf(reading[field.key]));
  const present = fields.filter((field) => reading[field.key] !== undefined);
  const measured = present.filter((field) => dimensionOf(field) !== undefined || ['wheel', 'number', 'count'].includes(field.type));
  const read = readFields(fields).filter((field) => field.type !== 'wheel_list' && field.type !== 'measure_list' && present.includes(field));
  const main = read.find((field) => field.required) ?? read[0] ?? measured[0];
  const rest = measured.filter((field) => field !== main && !(field.key === 'pass' && reading[field.key] === 1));
  return { value: main ? held(main) : '', besides: rest.map((field) => `${field.title.toLowerCase()} ${held(field)}`).join('; ') };
}

/** The gauge that a length is usually read with, before others that fit (common practice, no source). */
const usualGauge: Readonly<Record<string, string>> = { valve_lash: 'feeler_gauge', bucket_shim: 'micrometer', notch_gap: 'feeler_gauge', retainer_gap: 'feeler_gauge', clay: 'caliper', tip_mark: 'caliper', plunger_depth: 'depth_gauge', deck_clearance: 'dial_indicator', bolt_length: 'dial_indicator', gasket_crush: 'micrometer', gasket_bore: 'caliper', piston_fill: 'depth_gauge',
  journal_diameter: 'micrometer', piston_diameter: 'micrometer', shell_wall: 'micrometer', housing_bore: 'bore_gauge', bearing_bore: 'bore_gauge', bore_diameter: 'bore_gauge',
  end_play: 'dial_indicator', rod_side: 'feeler_gauge', ring_gap: 'feeler_gauge', ring_side: 'feeler_gauge' };

function usualFirst(kind: string, tools: readonly ToolKind[]): ToolKind[] {
  const rank = (tool: string): number => (tool === usualGauge[kind] ? 0 : 1);
  return [...tools].sort((a, b) => rank(a) - rank(b));
}

/** What the server leaves unsaid of the fields: a list repeats the load where one is read, else the length; which gauge is usual. */
export function described(reading: ReadingDescription): ReadingDescription {
  const repeated = (['force', 'volume', 'mass', 'pressure', 'torque'] as const).find((one) => reading.fields.some(({ type, required }) => type === one && required));
  const of = repeated ?? 'length';
  const example = reading.fields.find(({ type }) => type === of)?.example;
  const fields = reading.fields.map((field): FieldDescription => {
    if (field.type === 'measure_list') return { ...field, of, ...(example ? { example: `${example}, ${example}` } : {}) };
    return field.tools ? { ...field, tools: usualFirst(reading.kind, field.tools) } : field;
  });
  return { ...reading, fields };
}

const listOf = (typed: string): string[] => typed.split(/\s*[;\n]\s*|\s*,\s+/).filter((one) => one !== '');

function valueOf(field: FieldDescription, text: string, unit: FieldUnit): Json | undefined {
  const typed = text.trim();
  if (typed === '') return undefined;
  switch (field.type) {
    case 'wheel':
      return withUnit(typed, unit);
    case 'wheel_list':
    case 'measure_list':
      return listOf(typed).map((one) => withUnit(one, unit));
    case 'cylinder':
    case 'count':
    case 'number':
      return parseNumber(typed) ?? typed;
    case 'points':
      return parsePairs(typed, isUnit(unit) ? unit : 'in').points;
    default:
      return dimensionOf(field) ? withUnit(typed, unit) : typed;
  }
}

const usualExample = { length: '0.050 in', force: '118 lb', volume: '64.2 cc', mass: '562 g', pressure: '165 psi', torque: '45 ft lb' } as const;

/** What is wrong with a field, to be said beside it; nothing when it can be sent. */
export function problemOf(field: FieldDescription, text: string, cylinders: number, unit: FieldUnit = 'deg'): string | undefined {
  const typed = text.trim();
  if (typed === '') return field.required ? 'is needed' : undefined;
  const number = parseNumber(typed);
  switch (field.type) {
    case 'wheel':
      if (number !== undefined && unit === '') return 'needs its side: BTDC, ATDC, BBDC or ABDC, or deg';
      return parseWheel(withUnit(typed, unit)) === undefined ? `shows degrees: ${field.example ?? '41'} or 14 BTDC` : undefined;
    case 'angle':
      return number === undefined && parseQuantity(typed, 'angle') === undefined ? `is an angle: ${field.example ?? '3 deg'}` : undefined;
    case 'length':
    case 'force':
    case 'volume':
    case 'mass':
    case 'pressure':
    case 'torque':
      return number === undefined && !/[a-z"'#]/i.test(typed) ? `is a ${field.type}: ${field.example ?? usualExample[field.type]}` : undefined;
    case 'measure_list':
      return listOf(typed).every((one) => isBareNumber(one) || /\d.*[a-z"'#]/i.test(one)) ? undefined : `is a list: ${field.example ?? '1.701 in, 1.699 in'}`;
    case 'number':
      return number === undefined ? `is a number: ${field.example ?? '0.75'}` : undefined;
    case 'cylinder':
      return number !== undefined && Number.isInteger(number) && number >= 1 && number <= cylinders ? undefined : `is 1 to ${cylinders}`;
    case 'count':
      return number !== undefined && Number.isInteger(number) && number >= 1 ? undefined : 'is a whole number from 1';
    case 'points':
      return parsePairs(typed, 'in').points.length < 12 ? 'needs 12 pairs or more' : undefined;
    default:
      return undefined;
  }
}

export function problemsIn(description: ReadingDescription, fields: readonly FieldDescription[], texts: Readonly<Texts>, cylinders: number, unitOf: UnitOf = () => 'deg'): Record<string, string> {
  const problems: Record<string, string> = {};
  for (const field of fields) {
    const problem = problemOf(field, texts[field.key] ?? '', cylinders, unitOf(field));
    if (problem) problems[field.key] = problem;
  }
  const oneOf = fields.filter((field) => description.one_of?.includes(field.key));
  const [first] = oneOf;
  if (first && oneOf.every((field) => (texts[field.key] ?? '').trim() === '')) {
    problems[first.key] ??= oneOf.length > 1 ? `or ${oneOf[1]?.title.toLowerCase()} is needed` : 'is needed';
  }
  return problems;
}

export function readingOf(description: ReadingDescription, fields: readonly FieldDescription[], texts: Readonly<Texts>, unitOf: UnitOf): { [key: string]: Json } {
  const reading: { [key: string]: Json } = { kind: description.kind };
  for (const field of fields) {
    const value = valueOf(field, texts[field.key] ?? '', unitOf(field));
    if (value !== undefined) reading[field.key] = value;
  }
  return reading;
}

export const fieldValue = (field: FieldDescription, text: string, unit: FieldUnit): Json | undefined => valueOf(field, text, unit);

/** What the document holds, as text to edit. */
export function textOf(value: unknown): string {
  if (value === undefined || value === null) return '';
  if (Array.isArray(value)) {
    if (value.some(Array.isArray) && (value as unknown[][]).flat().every((one) => typeof one === 'number')) return (value as number[][]).map((bank) => bank.join('-')).join(' / ');
    return value.every(Array.isArray) ? value.map((pair) => (pair as string[]).join('\t')).join('\n') : value.join(', ');
  }
  return String(value);
}

const longest = 0.05;

/** Bare thousandths: "50" in a field of inches is offered as "50 thou", never taken so by itself. */
export function thousandths(field: FieldDescription, text: string, unit: FieldUnit): string | undefined {
  if (field.type !== 'length' || unit !== 'in' || !/^\d+$/.test(text.trim())) return undefined;
  const si = parseQuantity(withUnit(text, unit), 'length')?.si;
  return si !== undefined && si > longest ? `${text.trim()} thou` : undefined;
}

/** What was typed, said the other way, so that a slip shows. */
export function echoOf(field: FieldDescription, text: string, unit: FieldUnit): string | undefined {
  if (text.trim() === '') return undefined;
  if (field.type === 'wheel') return echoWheel(withUnit(text, unit));
  const dimension = field.type === 'position' || field.type === 'angle' || field.type.endsWith('list') || field.type === 'points' ? undefined : dimensionOf(field);
  const parsed = dimension && parseQuantity(withUnit(text, unit), dimension);
  const other = parsed && otherUnit(parsed.unit, parsed.si);
  return other && `${trim(fromSi(parsed.si, other), digitsOf[units[other].dimension]?.[other] ?? 4)} ${other}`;
}

/** Decimals of an echo. */
const digitsOf: Partial<Record<Dimension, Readonly<Record<string, number>>>> = {
  length: { mm: 3, in: 5 }, force: { lb: 1, N: 0 }, rate: { 'lb/in': 0, 'N/mm': 1 }, pressure: { psi: 0, kPa: 1, MPa: 1 }, mass: { g: 1, oz: 2 }, area: { mm2: 1, 'sq in': 4 }, volume: { cc: 1, 'cu in': 3 }, torque: { 'ft lb': 1, 'in lb': 0, 'N m': 1 },
};

const trim = (value: number, decimals: number): string => String(Number(value.toFixed(decimals)));
