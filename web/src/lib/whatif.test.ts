import { expect, test } from 'vitest';
import type { Correction, Finding, Moved } from '../types/api.ts';
import { advised, countsAfter, groupsOf, kindsMoved } from './whatif.ts';

const position = (value: string): Correction => ({
  id: 'cam.position', station: 'cam', says: `fit ${value}`, effects: [],
  operations: [{ path: '/readings/r1/position', value: '0 deg' }, { path: '/timing_set/fitted', value }],
});
const moved = (id: string, from: Moved['from']['verdict'], to: Moved['to']['verdict'], cylinder = 1): Moved =>
  ({ id, where: { cylinder }, unit: 'rad', from: { value: 1, verdict: from }, to: { value: 2, verdict: to } });

test('positions stand in order with the present one between them', () => {
  const [group] = groupsOf([position('-4 deg'), position('2 deg'), position('10 deg')], { timing_set: { fitted: '0 deg' } });
  expect(group?.ordered).toBe(true);
  expect(group?.choices.map(({ title }) => title)).toEqual(['-4 deg', '0 deg, now', '2 deg', '10 deg']);
  expect(group?.choices[1]?.correction).toBeUndefined();
});

test('corrections without a common quantity are a plain choice, whatever station they are of', () => {
  const shim: Correction = { id: 'spring.shim', station: 'spring', says: 'Put a shim under', effects: [], operations: [{ path: '/springs/shims', value: ['0.015 in'] }] };
  const groups = groupsOf([shim, position('4 deg')], {});
  expect(groups.map(({ id, ordered }) => [id, ordered])).toEqual([['spring.shim', false], ['cam.position', false]]);
  expect(groups[0]?.choices.map(({ title }) => title)).toEqual(['As it is now', 'Put a shim under']);
});

test('verdicts are counted as they would be', () => {
  const finding = (id: string, verdict: Finding['verdict']): Finding => ({ id, station: 'cam', where: { cylinder: 1 }, unit: 'rad', value: 1, verdict });
  expect(countsAfter([finding('a', 'fails'), finding('b', 'fails'), finding('c', 'holds')], [moved('a', 'fails', 'holds')])).toEqual({ holds: 2, fails: 1, too_close: 0, open: 0 });
});

test('what turns stands first, then what is judged, then the rest', () => {
  const kinds = kindsMoved([moved('opening', null, null), moved('overlap', 'holds', 'holds'), moved('centreline', 'fails', 'holds'), moved('centreline', 'fails', 'fails', 2)]);
  expect(kinds.map(({ id, turned }) => [id, turned])).toEqual([['centreline', 1], ['overlap', 0], ['opening', 0]]);
});

test('no correction is advised while a mistake stands', () => {
  const corrections = [position('-4 deg'), { ...position('4 deg'), recommended: true }];
  expect(advised({ corrections, mistakes: [] })?.says).toBe('fit 4 deg');
  expect(advised({ corrections, mistakes: [{ id: 'cam.closing_on_slack', station: 'cam', readings: [0], says: '' }] })).toBeUndefined();
});
