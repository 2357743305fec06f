import { expect, test } from 'vitest';
import type { Build } from '../types/build.ts';
import { changedReadings } from './diff.ts';
import { pathText, readingText, valueText } from './words.ts';

const document = {
  fettle: 1, name: 'x', engine: {},
  readings: [{ id: 'r1', kind: 'stop_contact', cylinder: 1, turning: 'backward', wheel: '41 deg' }],
} as unknown as Build;

test('places are said in words', () => {
  expect(pathText('/readings/r1/wheel', document, [])).toBe('stop contact, cylinder 1, backward: wheel');
  expect(pathText('/cam/card/intake/centerline', document, [])).toBe('cam, card, intake, centreline');
  expect(pathText('/readings/gone', document, [])).toBe('a reading');
  expect(readingText({ kind: 'part_weight', cylinder: 2, item: 'big_end' }, [])).toBe('part weight, cylinder 2, big end');
  expect(readingText({ kind: 'bolt_length', fastener: 'rod bolts', number: 3, stage: 'tight' }, [])).toBe('bolt length, rod bolts 3, tight');
});

test('values are said in one line', () => {
  expect(valueText('41 deg')).toBe('41 deg');
  expect(valueText(null)).toBe('nothing');
  expect(valueText({ id: 'r', kind: 'k', wheel: '1 deg' })).toBe('wheel 1 deg');
  expect(valueText([['0 deg', '0 in'], ['1 deg', '0 in']])).toBe('2 entries');
});

test('readings changed elsewhere are found, untouched ones are not', () => {
  const after = { ...document, readings: [...(document.readings ?? []), { id: 'r2', kind: 'stop_contact' as const }] };
  expect([...changedReadings(document, after)]).toEqual(['r2']);
  expect(changedReadings(after, after).size).toBe(0);
});
