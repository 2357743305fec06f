/** Bench mode: which value is asked for now, what a key does to the digits, and what is said aloud. */
import type { FieldDescription, ReadingDescription } from '../types/api.ts';
import { shownFields, upFront, type Texts, type UnitOf } from './entry.ts';
import { withUnit } from './quantity.ts';

const typed: readonly FieldDescription['type'][] = ['wheel', 'angle', 'length', 'force', 'number', 'count', 'volume', 'mass', 'pressure', 'torque'];
const chosen: readonly FieldDescription['type'][] = ['choice', 'cylinder', 'tool', 'position'];

/** Kinds of reading that are taken number by number; a sweep is not. */
export const takenAtBench = (description: ReadingDescription): boolean =>
  description.fields.filter((field) => upFront(description, field)).every(({ type, key }) => typed.includes(type) || chosen.includes(type) || key === 'fastener');

export const valueFields = (description: ReadingDescription, basis: string | undefined): FieldDescription[] =>
  shownFields(description, basis).filter((field) => upFront(description, field) && typed.includes(field.type));

export const choiceFields = (description: ReadingDescription, basis: string | undefined): FieldDescription[] =>
  shownFields(description, basis).filter((field) => upFront(description, field) && (chosen.includes(field.type) || field.key === 'fastener'));

/** The first value still to be read; the last one where nothing is missing. */
export function askedFor(fields: readonly FieldDescription[], texts: Readonly<Texts>): FieldDescription | undefined {
  return fields.find((field) => (texts[field.key] ?? '').trim() === '') ?? fields.at(-1);
}

export type Key = '0' | '1' | '2' | '3' | '4' | '5' | '6' | '7' | '8' | '9' | '.' | '-' | 'back';

const longest = 9;

/** The digits after a key: one point at most, the sign turns over, no more than a screen can show. */
export function press(text: string, key: Key): string {
  if (key === 'back') return text.slice(0, -1);
  if (key === '-') return text.startsWith('-') ? text.slice(1) : `-${text}`;
  if (text.length >= longest) return text;
  if (key === '.') return text.includes('.') ? text : `${text === '' || text === '-' ? `${text}0` : text}.`;
  return `${text}${key}`;
}

/** "Intake, closing, 0.050 in": what is to be read, without the value that is asked for. */
export function targetText(description: ReadingDescription, texts: Readonly<Texts>, basis: string | undefined, asked: FieldDescription | undefined, unitOf: UnitOf, choicesOf: (field: FieldDescription) => readonly { value: string; title: string }[]): string {
  const parts = shownFields(description, basis).filter((field) => upFront(description, field) && field.key !== asked?.key).flatMap((field) => {
    const text = (texts[field.key] ?? '').trim();
    if (text === '') return [];
    if (field.type === 'cylinder') return [`cylinder ${text}`];
    if (typed.includes(field.type)) return [withUnit(text, unitOf(field))];
    return [(choicesOf(field).find(({ value }) => value === text)?.title ?? text).toLowerCase()];
  });
  const line = parts.join(', ');
  return line.charAt(0).toUpperCase() + line.slice(1);
}

const aloud: Readonly<Record<string, string>> = { deg: 'degrees', in: 'inches', thou: 'thousandths', mm: 'millimetres', lb: 'pounds', N: 'newtons', BTDC: 'before top', ATDC: 'after top', BBDC: 'before bottom', ABDC: 'after bottom', TDC: 'top dead centre', '\u00b1': 'plus or minus' };

/** A short line as it is to be spoken: units and marks as words. */
export const spoken = (line: string): string => line
  .replace(/[\u2212-](?=\d)/g, 'minus ')
  .replace(/\u00b1|\b(?:deg|in|thou|mm|lb|N|BTDC|ATDC|BBDC|ABDC|TDC)\b/g, (word, at: number) => (word === 'in' && !/\d\s*$/.test(line.slice(0, at)) ? word : (aloud[word] ?? word)));

/** Bare thousandths said as the drawing would: "50 thou" is 0.050 in. */
export const inchesOf = (thou: string): string => `${(Number.parseFloat(thou) / 1000).toFixed(3)} in`;
