import { expect, test } from 'vitest';
import type { LobeCurve } from '../types/api.ts';
import { liftOption, linePoints } from './curves.ts';

test('radians and metres become degrees and the person\u2019s unit', () => {
  expect(linePoints([Math.PI], [0.0254], 'in')).toEqual([[180, 1]]);
  expect(linePoints([0], [0.0254], 'mm')).toEqual([[0, 25.4]]);
});

test('readings stand beside the fitted curve, the card apart from both', () => {
  const lobe: LobeCurve = { cylinder: 1, valve: 'intake', crank: [0, 1], lift: [0, 0.001], points: [[0.5, 0.0005]], events: [{ at: 0.00127, opening: 0, closing: 1 }] };
  const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00' };
  const option = liftOption([lobe], [{ valve: 'intake', crank: [0], lift: [0], synthesised: true, events: [] }], 'mm', colours);
  const series = option['series'] as { name: string; type: string; data: unknown[] }[];
  expect(series.map(({ name, type }) => [name, type])).toEqual([
    ['intake, card (made from its events)', 'line'], ['intake, fitted', 'line'], ['intake, read', 'scatter'],
  ]);
  expect(series[2]?.data).toHaveLength(1);
});

test('a flank that was not read has no mark, and a top without its crank no line', () => {
  const lobe: LobeCurve = { cylinder: 1, valve: 'intake', crank: [], lift: [], points: [[0.5, 0.0005]], events: [{ at: 0.00127, opening: 0.5, closing: null }], top: { crank: null, lift: 0.0076 } };
  const colours = { ink: '', soft: '', line: '', card: '', intake: '', exhaust: '' };
  const option = liftOption([lobe], [], 'mm', colours);
  expect(option['xAxis']).toMatchObject({ min: 0, max: 180 });
  const [fitted] = option['series'] as { markPoint: { data: unknown[] }; markLine: { data: unknown[] } }[];
  expect(fitted?.markPoint.data).toHaveLength(1);
  expect(fitted?.markLine.data).toEqual([]);
});
