import { expect, test } from 'vitest';
import { partValue, sections, toolFields } from './parts.ts';

test('lists of angles are read with and without units', () => {
  const positions = { type: 'text' as const, holds: 'angles' };
  expect(partValue(positions, '-4, 0, 4', 'deg')).toEqual(['-4 deg', '0 deg', '4 deg']);
  expect(partValue(positions, '-4 deg, 0 deg', 'deg')).toEqual(['-4 deg', '0 deg']);
  expect(partValue(positions, '-4 0 4', 'deg')).toEqual(['-4 deg', '0 deg', '4 deg']);
});

test('numbers, choices and quantities become what the document holds', () => {
  expect(partValue({ type: 'text', holds: 'number' }, '1.5', '')).toBe(1.5);
  expect(partValue({ type: 'choice', holds: 'boolean' }, 'false', '')).toBe(false);
  expect(partValue({ type: 'length' }, '4', 'in')).toBe('4 in');
  expect(partValue({ type: 'length' }, '', 'in')).toBeUndefined();
  expect(partValue({ type: 'text', holds: 'numbers' }, '1-3-4-2', '')).toEqual([1, 3, 4, 2]);
});

test('every place is named once', () => {
  const paths = sections.flatMap((one) => [...one.fields.map(({ path }) => path), ...(one.rows ?? []).map(({ path }) => path)]);
  expect(new Set(paths).size).toBe(paths.length);
});

test('a wheel has angles and an indicator lengths', () => {
  expect(toolFields('degree_wheel').find(({ path }) => path === 'resolution')?.type).toBe('angle');
  expect(toolFields('dial_indicator').find(({ path }) => path === 'resolution')?.type).toBe('length');
});
