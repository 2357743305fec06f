import { expect, test } from 'vitest';
import type { Limit } from '../types/build.ts';
import { liftAsTyped, limitAt, scopeInForce, scopeTitle, scopesOf, withLimit } from './limits.ts';

const at = 0.05 * 0.0254;
const duration = { cylinder: 2, valve: 'exhaust', at } as const;

test('a limit may be for all of a kind, a valve, a cylinder, or one lobe', () => {
  expect(scopesOf(duration).map(scopeTitle)).toEqual(['All of this kind', 'Every exhaust', 'Cylinder 2 only', 'Cylinder 2, exhaust only']);
  expect(scopesOf(duration).every((one) => one.at === at)).toBe(true);
  expect(scopesOf({})).toEqual([{}]);
});

test('a limit is put in the place of the one that covers the same, and no other', () => {
  const all: Limit = { finding: 'cam.duration', at: '0.050 in', min: '216 deg' };
  const other: Limit = { finding: 'cam.duration', valve: 'exhaust', at: '1 mm', max: '300 deg' };
  const next = withLimit([all, other], 'cam.duration', { at }, { min: '217 deg', max: '219 deg' });
  expect(next).toEqual([other, { finding: 'cam.duration', at: '0.050 in', min: '217 deg', max: '219 deg' }]);
  expect(withLimit(next, 'cam.duration', { valve: 'exhaust', at: 0.001 }, {})).toEqual([next[1]]);
  expect(withLimit(undefined, 'cam.duration', duration, { max: '230 deg' })).toEqual([{ finding: 'cam.duration', valve: 'exhaust', cylinder: 2, at: '0.050 in', max: '230 deg' }]);
});

test('the most particular limit is the one shown', () => {
  const limits: Limit[] = [{ finding: 'cam.duration', at: '1.27 mm', min: '1 deg' }, { finding: 'cam.duration', cylinder: 2, at: '50 thou', max: '2 deg' }];
  expect(limitAt(limits, 'cam.duration', { at })?.min).toBe('1 deg');
  expect(scopeTitle(scopesOf(duration)[scopeInForce(limits, { id: 'cam.duration', where: duration })] ?? {})).toBe('Cylinder 2 only');
  expect(scopeInForce(limits, { id: 'cam.opening', where: duration })).toBe(0);
});

test.each([[at, '0.050 in'], [0.001, '1 mm'], [0.006 * 0.0254, '0.006 in'], [0.00123456, '1.2346 mm']])('a check lift of %s m is typed %s', (lift, text) => {
  expect(liftAsTyped(lift)).toBe(text);
});
