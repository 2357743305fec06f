import { expect, test } from 'vitest';
import type { RunningTrain } from '../types/api.ts';
import { bandStep, forceBands, mapOption, mapText, nearest, rpmOf, runOption, runsOf, waterfallOption } from './train.ts';

const rpm = Math.PI / 30;
const degree = Math.PI / 180;
const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00' };
const orders = (peak: number): number[] => Array.from({ length: 24 }, (_, i) => (i === 11 ? peak : 1e-5));
const speed = (at: number, force: number[], gap: number[]): RunningTrain['speeds'][number] => ({
  speed: at * rpm, repeats: true, separates: gap.some((one) => one > 0), least_force: Math.min(...force), greatest_force: Math.max(...force), loft: 1e-5, deflection: 2e-4, bounce: 0, surge: 1e-3,
  surge_orders: orders(at / 1e7), lift: [0, 0.001, 0.0021, 0.0009, 0], force, gap,
});
const train: RunningTrain = {
  cylinder: 2, valve: 'exhaust', redline: 6000 * rpm, basis: 'lobe as swept', spring_frequency: 2 * Math.PI * 500, from: -4 * degree, step: 2 * degree, rigid_lift: [0, 0.001, 0.002, 0.001, 0],
  speeds: [speed(5000, [100, 350, 400, 1190, 100], [0, 0, 0, 0, 0]), speed(6000, [90, 0, 0, 900, 100], [0, 1e-5, 4e-5, 0, 0])],
};

test('bands are round and hold the greatest force', () => {
  expect([1190, 6, 60, 61, 0.07].map(bandStep)).toEqual([200, 1, 10, 20, 0.02]);
  expect(forceBands(train, 'mm').map(({ least, most }) => [least, most])).toEqual([[0, 200], [200, 400], [400, 600], [600, 800], [800, 1000], [1000, 1200]]);
  // 1190 N are 267.5 lbf.
  expect(forceBands(train, 'in').at(-1)).toMatchObject({ most: 300, unit: 'lb' });
});

test('neighbours that are alike are one, and open contact is one of its own', () => {
  const [slow, fast] = train.speeds;
  if (!slow || !fast) throw new Error('no speeds');
  const of = (one: typeof slow): [number, number, number | undefined][] => runsOf(train, one, (force) => Math.floor(force / 200)).map(({ from, to, band }) => [Math.round(from), Math.round(to), band]);
  expect(of(slow)).toEqual([[-5, -3, 0], [-3, -1, 1], [-1, 1, 2], [1, 3, 5], [3, 5, 0]]);
  expect(of(fast)).toEqual([[-5, -3, 0], [-3, 1, undefined], [1, 3, 4], [3, 5, 0]]);
  expect(runsOf(train, fast, () => 0)[1]?.gap).toBe(4e-5);
});

test('the map reads out what is pointed at, in either system', () => {
  const tooltip = (system: 'in' | 'mm', dataIndex: number): string => (mapOption(train, system, colours)['tooltip'] as { formatter: (item: { dataIndex: number }) => string }).formatter({ dataIndex });
  expect(tooltip('mm', 1)).toBe('5000 rpm, \u22123 to \u22121 deg\n200 to 400 N');
  expect(tooltip('mm', 6)).toBe('6000 rpm, \u22123 to 1 deg\napart, by up to 0.040 mm');
  expect(tooltip('in', 5)).toBe('6000 rpm, \u22123 to 1 deg\napart, by up to 0.0016 in');
});

test('open contact is drawn with strokes, closed contact is not', () => {
  const [map] = mapOption(train, 'mm', colours)['series'] as { data: number[][]; renderItem: (_: unknown, api: object) => { type: string } }[];
  const drawn = map?.data.map((row) => map.renderItem(undefined, { value: (i: number) => row[i], coord: ([x = 0, y = 0]: number[]) => [x * 10, 1000 - y / 10] }).type);
  expect(drawn?.map((type) => type === 'group')).toEqual([false, false, false, false, false, false, true, false, false]);
});

test('lift as run says how far it is off, and force or gap', () => {
  const fast = train.speeds[1];
  if (!fast) throw new Error('no speed');
  const { formatter } = runOption(train, fast, 'mm', colours)['tooltip'] as { formatter: (items: { value: [number, number]; dataIndex: number }[]) => string };
  expect(formatter([{ value: [0, 2.1], dataIndex: 2 }])).toBe('0 deg\nby hand: 2.000 mm\nas run: 2.100 mm (+0.100)\napart by 0.040 mm');
  expect(formatter([{ value: [2, 0.9], dataIndex: 3 }])).toBe('2 deg\nby hand: 1.000 mm\nas run: 0.900 mm (\u22120.100)\nforce: 900 N');
});

test('the waterfall reads out the speeds at which an order swings most', () => {
  const option = waterfallOption(train, 'mm', colours);
  const { formatter } = option['tooltip'] as { formatter: (items: { value: [number, number]; seriesName: string }[]) => string };
  expect(formatter([{ value: [6, 6000], seriesName: 'orders' }])).toBe('order 6.0, greatest:\n6000 rpm: 0.600 mm\n5000 rpm: 0.500 mm');
  // 500 Hz are five times a turn at 6000 rpm.
  const spring = (option['series'] as { name: string; data: [number, number][] }[]).find(({ name }) => name === 'spring');
  expect(spring?.data.at(-1)?.[0]).toBeCloseTo(5, 9);
});

test('the speed nearest to the wanted one, the redline at first', () => {
  expect(rpmOf(nearest(train, undefined)?.speed ?? 0)).toBe(6000);
  expect(rpmOf(nearest(train, 5100)?.speed ?? 0)).toBe(5000);
  expect(mapText(train)).toBe('contact opens at 1 of 2 speeds, first at 6000 rpm; the redline is 6000 rpm');
});
