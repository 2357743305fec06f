import { expect, test } from 'vitest';
import type { Finding } from '../types/api.ts';
import { boltSets, loadScale } from './fasteners.ts';

const finding = (id: string, number: number, value: number, expanded: number): Finding => ({ id, station: 'fastener', where: { part: 'rod bolts', number }, unit: 'N', value, expanded, verdict: null });

test('proof and yield loads follow from the parts of them that the preload takes', () => {
  const picture = { sets: [{ set: 'rod bolts', bolts: [{ number: 2, stretch: 0.00014, preload: 45000, proof_part: 0.75 }, { number: 1, stretch: null, preload: null, proof_part: null }] }] };
  const findings = [finding('fastener.preload', 2, 45000, 1500), { ...finding('fastener.yield_margin', 2, 0.4, 0.02), unit: '1' }];
  const [set] = boltSets(picture, findings);
  expect(set?.rows.map(({ number }) => number)).toEqual([1, 2]);
  expect(set?.rows[1]?.expanded).toBe(1500);
  expect(set?.proof).toBeCloseTo(60000, 6);
  expect(set?.yields).toBeCloseTo(75000, 6);
  if (!set) throw new Error('no set');
  const place = loadScale(set);
  expect(place(0)).toBe(0);
  expect(place(75000)).toBeCloseTo(1 / 1.06, 9);
  expect(boltSets(null, findings)).toEqual([]);
});

test('without a strength there is no line, and without a load no bar', () => {
  const [set] = boltSets({ sets: [{ set: 'studs', bolts: [{ number: 1, stretch: 0.0001, preload: null, proof_part: null }] }] }, []);
  expect(set).toMatchObject({ proof: undefined, yields: undefined });
  if (set) expect(loadScale(set)(100)).toBe(0);
});
