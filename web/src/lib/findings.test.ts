import { describe, expect, test } from 'vitest';
import type { Finding, Report } from '../types/api.ts';
import { announcement, countText, countVerdicts, groupById, headlines, keyOf, shownValue, sortFindings, whereText } from './findings.ts';

const finding = (id: string, verdict: Finding['verdict'], more: Partial<Finding> = {}): Finding => ({
  id, station: 'cam', where: {}, unit: 'rad', value: 1, verdict, ...more,
});
const described = [
  { id: 'a', title: 'First', definition: '', headline: true },
  { id: 'b', title: 'Second', definition: '' },
];

test('verdicts are counted and those without a limit are not', () => {
  expect(countVerdicts([finding('a', 'holds'), finding('a', null), finding('b', 'open')])).toEqual({ holds: 1, fails: 0, too_close: 0, open: 1 });
});

test('what fails stands first, open last, then the order of the work', () => {
  const sorted = sortFindings([finding('b', 'holds'), finding('a', 'open'), finding('a', 'holds'), finding('b', 'fails'), finding('b', 'too_close')], described);
  expect(sorted.map((one) => `${one.id} ${one.verdict}`)).toEqual(['b fails', 'b too_close', 'a holds', 'b holds', 'a open']);
});

test('findings of one kind are kept together, kinds in the order they first come', () => {
  const groups = groupById([finding('b', 'fails'), finding('a', 'fails'), finding('b', 'holds')]);
  expect(groups.map((group) => `${group.id} ${group.findings.length}`)).toEqual(['b 2', 'a 1']);
});

test('instances of one finding are told apart', () => {
  expect(keyOf(finding('a', null, { where: { cylinder: 1 } }))).not.toBe(keyOf(finding('a', null, { where: { cylinder: 2 } })));
  expect(whereText({ cylinder: 2, valve: 'exhaust', at: 0.00127 }, 'in')).toBe('cylinder 2, exhaust, at 0.050 in');
  expect(whereText({ at: 0.00127 }, 'mm')).toBe('at 1.27 mm');
});

describe('headlines', () => {
  test('a measured instance is preferred to an open one', () => {
    const found = headlines([finding('a', 'open', { value: null }), finding('a', 'holds', { where: { cylinder: 3 } })], described);
    expect(found.map((one) => one.where.cylinder)).toEqual([3]);
  });
});

test('a wheel reading is shown within one turn', () => {
  expect(shownValue(finding('tdc.wheel', null, { value: -Math.PI / 2 }))).toBeCloseTo(1.5 * Math.PI, 12);
  expect(shownValue(finding('tdc.wheel', null, { value: 2 * Math.PI }))).toBeCloseTo(0, 9);
  expect(shownValue(finding('cam.advance', null, { value: -0.1 }))).toBe(-0.1);
});

test('what moved and what is newly wrong is said', () => {
  const report: Report = {
    findings: [finding('a', 'fails', { value: Math.PI, expanded: 0.01 })],
    mistakes: [{ id: 'm', station: 'cam', readings: [0], says: 'The wheel slipped' }],
    corrections: [],
  };
  const moved = [{ id: 'a', where: {}, from: { value: null, verdict: null }, to: { value: Math.PI, verdict: 'fails' as const } }];
  expect(announcement(undefined, report, moved, described, 'in')).toBe('The wheel slipped. First: 180.00 deg, fails');
  expect(announcement(report, report, [], described, 'in')).toBe('');
});

test('one holds and two hold', () => {
  expect([countText(1, 'fails'), countText(17, 'fails'), countText(2, 'holds'), countText(3, 'too_close')]).toEqual(['1 fails', '17 fail', '2 hold', '3 too close']);
});
