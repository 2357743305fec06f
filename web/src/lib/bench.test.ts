import { expect, test } from 'vitest';
import type { ReadingDescription } from '../types/api.ts';
import { askedFor, choiceFields, inchesOf, press, spoken, takenAtBench, targetText, valueFields, type Key } from './bench.ts';

const point: ReadingDescription = {
  kind: 'lobe_point', title: 'Lobe point', one_of: ['lift', 'below_max'], exclusive: true,
  fields: [
    { key: 'cylinder', title: 'Cylinder', type: 'cylinder', required: true },
    { key: 'side', title: 'Flank', type: 'choice', required: true, choices: [{ value: 'opening', title: 'Opening' }, { value: 'closing', title: 'Closing' }] },
    { key: 'lift', title: 'Lift', type: 'length' },
    { key: 'below_max', title: 'Drop', type: 'length' },
    { key: 'wheel', title: 'Wheel shows', type: 'wheel', required: true },
    { key: 'tool', title: 'Wheel', type: 'tool' },
  ],
};
const keys = (...list: Key[]): string => list.reduce(press, '');

test('values are asked for one after the other, of the two bases the chosen one', () => {
  const fields = valueFields(point, 'lift');
  expect(fields.map(({ key }) => key)).toEqual(['lift', 'wheel']);
  expect(valueFields(point, 'below_max').map(({ key }) => key)).toEqual(['below_max', 'wheel']);
  expect(askedFor(fields, {})?.key).toBe('lift');
  expect(askedFor(fields, { lift: '0.050' })?.key).toBe('wheel');
  expect(askedFor(fields, { lift: '0.050', wheel: '3' })?.key).toBe('wheel');
  expect(choiceFields(point, 'lift').map(({ key }) => key)).toEqual(['cylinder', 'side']);
});

test('a sweep is not taken number by number', () => {
  expect(takenAtBench(point)).toBe(true);
  expect(takenAtBench({ ...point, fields: [...point.fields, { key: 'points', title: 'Points', type: 'points', required: true }] })).toBe(false);
});

test('keys make numbers and nothing else', () => {
  expect(keys('4', '1', '.', '5')).toBe('41.5');
  expect(keys('.', '0', '.', '5')).toBe('0.05');
  expect(keys('4', '1', 'back', '2')).toBe('42');
  expect(keys('3', '-', '5')).toBe('-35');
  expect(keys('-', '3', '-')).toBe('3');
  expect(press('123456789', '1')).toBe('123456789');
});

test('the target is said in words, without the value that is read', () => {
  const wheel = point.fields[4];
  const choicesOf = (field: { choices?: { value: string; title: string }[] }): { value: string; title: string }[] => field.choices ?? [];
  expect(targetText(point, { cylinder: '2', side: 'closing', lift: '0.050', wheel: '37' }, 'lift', wheel, () => 'in', choicesOf)).toBe('Cylinder 2, closing, 0.050 in');
});

test('units and marks are spoken as words', () => {
  expect(spoken('41.5 deg, forward')).toBe('41.5 degrees, forward');
  expect(spoken('14 BTDC')).toBe('14 before top');
  expect(spoken('0.050 in, put in')).toBe('0.050 inches, put in');
  expect(spoken('62.24 \u00b1 0.16 deg')).toBe('62.24 plus or minus 0.16 degrees');
  expect(spoken('\u22124 deg')).toBe('minus 4 degrees');
});

test('fifty thousandths are 0.050 in', () => {
  expect(inchesOf('50 thou')).toBe('0.050 in');
});
