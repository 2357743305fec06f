import { expect, test } from 'vitest';
import type { BearingClearance, BoreMap } from '../types/api.ts';
import { boreOption, boreTable, clearanceScale, directionText, shellsText } from './shortblock.ts';

const inch = 0.0254;
const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00' };
const quarter = Math.PI / 2;

/** 4.0010 in with its top 0.0005 wider square to the pin. */
const bore: BoreMap = {
  cylinder: 2, piston: 3.9988 * inch, piston_mark: 2, limit: null,
  points: [
    { along: 0.5 * inch, around: 0, diameter: 4.0015 * inch }, { along: 0.5 * inch, around: quarter, diameter: 4.0012 * inch },
    { along: 2.5 * inch, around: 0, diameter: 4.0010 * inch }, { along: 2.5 * inch, around: -quarter, diameter: 4.0011 * inch },
  ],
};

test('directions half a turn apart are one', () => {
  expect([0, Math.PI, quarter, -quarter, Math.PI / 3, null].map(directionText)).toEqual(['square to the pin', 'square to the pin', 'along the pin', 'along the pin', '60 deg', 'direction not said']);
});

test('a bore is laid out by depth and direction, over its least diameter', () => {
  const { directions, rows } = boreTable(bore);
  expect(directions).toEqual(['square to the pin', 'along the pin']);
  expect(rows.map(({ depth }) => depth)).toEqual([0.5 * inch, 2.5 * inch]);
  expect(rows.map(({ over }) => over.map((one) => Number(((one ?? NaN) / inch * 1000).toFixed(6))))).toEqual([[0.5, 0.2], [0, 0.1]]);
});

test('a bore is drawn down its depth in the person\u2019s units', () => {
  type Series = { name: string; data: [number, number][] };
  const series = boreOption([bore], 'in', colours)['series'] as Series[];
  expect(series.map(({ name }) => name)).toEqual(['cylinder 2, square to the pin', 'cylinder 2, along the pin']);
  expect(series[0]?.data[0]?.[0]).toBeCloseTo(0.5, 9);
  expect(series[0]?.data[0]?.[1]).toBeCloseTo(0.5, 9);
  // 0.0005 in are 12.7 micrometres.
  expect((boreOption([bore], 'mm', colours)['series'] as Series[])[0]?.data[0]?.[0]).toBeCloseTo(12.7, 9);
  expect(boreOption([bore], 'in', colours)['yAxis']).toMatchObject({ inverse: true });
});

test('clearances stand in order along the picture, the band inside', () => {
  const row: BearingClearance = { number: 1, clearance: 58e-6, expanded: 5e-6, direct: 58e-6, crossed: 56e-6, strip: null, shells: [0, 0], limit: { min: 46e-6, max: 71e-6 } };
  const at = clearanceScale([row]);
  expect([46e-6, 53e-6, 58e-6, 63e-6, 71e-6].map(at)).toEqual([46e-6, 53e-6, 58e-6, 63e-6, 71e-6].map(at).sort((a, b) => a - b));
  expect(at(46e-6)).toBeGreaterThan(0);
  expect(at(71e-6)).toBeLessThan(1);
});

test('shells are said as the shelf has them', () => {
  expect(shellsText([0, 0], 'in')).toBe('standard');
  expect(shellsText([-0.001 * inch, 0], 'in')).toBe('\u22121.0 thou above, standard below');
  expect(shellsText([0.001 * inch, 0.001 * inch], 'mm')).toBe('+25 um');
});
