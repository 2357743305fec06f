import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import type { RoomAbove } from '../types/api.ts';
import { deckOption, ellipse, greatest, roomText, size, volumeOption } from './block.ts';
import { partValue } from './parts.ts';
import { fastenerColumns } from './parts_block.ts';
import { described, readFields, textOf } from './entry.ts';
import { parseQuantity, usualUnit } from './quantity.ts';

const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00' };
type Series = { name: string; type: string; data: unknown[]; markLine?: { data: { yAxis: number }[] } };
const seriesOf = (option: Record<string, unknown>): Series[] => option['series'] as Series[];

const room: RoomAbove = {
  cylinder: 1, clearance: 70e-6, ratio: 9.5,
  parts: [{ id: 'chamber', title: 'chamber', volume: 64e-6 }, { id: 'gasket', title: 'gasket', volume: 9e-6 }, { id: 'deck', title: 'deck', volume: 4e-6 }, { id: 'crown', title: 'dome', volume: -7e-6 }, { id: 'land', title: 'ring land', volume: 0 }],
};

test('volumes are stacked in cc, a dome below nought, and what is not there is left out', () => {
  const series = seriesOf(volumeOption([room], colours));
  expect(series.map(({ name }) => name)).toEqual(['chamber', 'gasket', 'deck', 'dome']);
  expect(series[0]?.data[0]).toBeCloseTo(64, 9);
  expect(series[3]?.data[0]).toBeCloseTo(-7, 9);
  expect(roomText(room)).toBe('chamber 64.0, gasket 9.0, deck 4.0, dome \u22127.0');
});

test('a bank\u2019s deck shows pistons, edges, its line and what the parts give', () => {
  const piston = { cylinder: 3, below: 0.0005, front: null, rear: null, inboard: 0.0004, outboard: null };
  const picture = { banks: [{ pistons: [piston, { ...piston, cylinder: 1, below: null, inboard: null }], line: [0.0005, 0.0006] as [number, number] }], computed: 0.0004 };
  const series = seriesOf(deckOption(picture, 0, 'mm', colours));
  expect(series.map(({ name }) => name)).toEqual(['line of the bank', 'over the pin', 'inboard edge', 'from the parts']);
  expect(series[1]?.data).toEqual([[0, 0.5]]);
  expect(series[3]?.markLine?.data[0]?.yAxis).toBeCloseTo(0.4, 9);
});

test('equal vectors turning against each other make a line along the bore, one alone a circle', () => {
  for (const [along, across] of ellipse([2, 0], [2, 0])) {
    expect(Math.abs(across)).toBeLessThan(1e-9);
    expect(Math.abs(along)).toBeLessThanOrEqual(4 + 1e-9);
  }
  for (const point of ellipse([0, 3], [0, 0])) expect(size(point)).toBeCloseTo(3, 9);
  expect(greatest({ speed: 1, orders: [{ order: 1, forward: [3, 4], backward: [0, 1], moment_forward: null, moment_backward: null }] }, 'force')).toBeCloseTo(6, 9);
  expect(greatest({ speed: 1, orders: [{ order: 1, forward: [3, 4], backward: [0, 1], moment_forward: null, moment_backward: null }] }, 'moment')).toBe(0);
});

test('banks are typed and shown front to rear', () => {
  const banks = partValue({ type: 'text', holds: 'banks' }, '1-3-5-7 / 2 4 6 8', '');
  expect(banks).toEqual([[1, 3, 5, 7], [2, 4, 6, 8]]);
  expect(textOf(banks)).toBe('1-3-5-7 / 2-4-6-8');
});

test('volumes and torques have their units', () => {
  expect(parseQuantity('64.2 cc', 'volume')?.si).toBeCloseTo(64.2e-6, 12);
  // A foot pound is 1.3558179 N m (NIST SP 811, appendix B.8).
  expect(parseQuantity('10 ft lb', 'torque')?.si).toBeCloseTo(13.558179483, 8);
  expect([usualUnit('volume', 'in'), usualUnit('torque', 'mm')]).toEqual(['cc', 'N m']);
});

test('a fill is read anew each time, its depth and what was taken out before stay', () => {
  const fields = [{ key: 'depth', title: 'Depth', type: 'length' as const, required: true }, { key: 'volume', title: 'Volume', type: 'volume' as const, required: true }, { key: 'again', title: 'Again', type: 'measure_list' as const }, { key: 'deepened', title: 'Taken out', type: 'volume' as const }];
  expect(readFields(fields).map(({ key }) => key)).toEqual(['volume', 'again']);
  expect(described({ kind: 'piston_fill', title: 'Fill', fields }).fields.find(({ key }) => key === 'again')?.of).toBe('volume');
});

test('the columns of a set of fasteners are those of the schema', () => {
  const schema = JSON.parse(readFileSync(new URL('../../../docs/build.schema.json', import.meta.url), 'utf8')) as { properties: Record<string, { additionalProperties?: { properties: Record<string, { enum?: string[] }> } }> };
  const known = schema.properties['fasteners']?.additionalProperties?.properties ?? {};
  expect(fastenerColumns.map(({ key }) => key).sort()).toEqual(Object.keys(known).sort());
  for (const { key, choices } of fastenerColumns) {
    const words = known[key]?.enum;
    if (words) expect((choices ?? []).map(({ value }) => value).sort()).toEqual([...words].sort());
  }
});
