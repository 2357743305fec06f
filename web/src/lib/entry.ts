/** From what was typed into a form of a reading to the reading, and to what should be asked before it is sent. */
import type { FieldDescription, Json, ReadingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { parsePairs } from './pairs.ts';
import { fromSi, isBareNumber, isUnit, parseNumber, parseQuantity, withUnit, type FieldUnit } from './quantity.ts';
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

export const upFront = (description: ReadingDescription, field: FieldDescription): boolean =>
  field.required === true || (description.one_of ?? []).includes(field.key);

/** What a field starts with in a fresh form. */
export function startOf(field: FieldDescription, document: Build): string {
  if (field.type !== 'tool') return field.default ?? '';
  const found = Object.entries(document.tools ?? {}).find(([, tool]) => (field.tools ?? []).includes(tool.kind));
  return found?.[0] ?? '';
}

/** The form after a reading was taken: values go, choices stay, the side of pairs turns over. */
export function afterTaking(fields: readonly FieldDescription[], texts: Readonly<Texts>): Texts {
  const next: Texts = {};
  for (const field of fields) {
    const text = texts[field.key] ?? '';
    if (field.type === 'wheel' || field.type === 'wheel_list' || field.type === 'points' || field.type === 'angle') continue;
    const other = field.alternates ? field.choices?.find((choice) => choice.value !== text)?.value : undefined;
    next[field.key] = other ?? text;
  }
  return next;
}

function valueOf(field: FieldDescription, text: string, unit: FieldUnit): Json | undefined {
  const typed = text.trim();
  if (typed === '') return undefined;
  switch (field.type) {
    case 'wheel':
    case 'angle':
    case 'length':
    case 'position':
      return withUnit(typed, unit);
    case 'wheel_list':
      return typed.split(/\s*[;\n]\s*|\s*,\s+/).filter((one) => one !== '').map((one) => withUnit(one, unit));
    case 'cylinder':
    case 'count':
      return parseNumber(typed) ?? typed;
    case 'points':
      return parsePairs(typed, isUnit(unit) ? unit : 'in').points;
    default:
      return typed;
  }
}

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
      return number === undefined && !/[a-z"']/i.test(typed) ? `is a length: ${field.example ?? '0.050 in'}` : undefined;
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
  if (field.type !== 'length') return undefined;
  const parsed = parseQuantity(withUnit(text, unit), 'length');
  if (!parsed) return undefined;
  const inches = isBareNumber(text) ? unit !== 'mm' : parsed.unit !== 'mm' && parsed.unit !== 'cm';
  return inches ? `${trim(fromSi(parsed.si, 'mm'), 3)} mm` : `${trim(fromSi(parsed.si, 'in'), 5)} in`;
}

const trim = (value: number, decimals: number): string => String(Number(value.toFixed(decimals)));
