import { describe, expect, test } from 'vitest';
import { cylindersOf, layouts, newBuild, orderProblem, parseOrder } from './layouts.ts';

test.each([['V8', 8], ['inline-4', 4], ['inline 6', 6], ['flat 4', 4], ['V-twin', 2], ['single', 1], ['V7', undefined], ['W12', undefined], ['inline 25', undefined]])(
  '%s has %s cylinders', (layout, cylinders) => {
    expect(cylindersOf(layout)).toBe(cylinders);
  });

test('every offered layout fires each of its cylinders once', () => {
  for (const one of layouts.filter(({ id }) => id !== 'other')) {
    expect(orderProblem(one.order, cylindersOf(one.layout)), one.title).toBeUndefined();
  }
});

test('uneven firing intervals are 720 degrees in all', () => {
  for (const { intervals } of layouts) {
    if (intervals) expect(intervals.reduce((sum, one) => sum + parseFloat(one), 0)).toBe(720);
  }
});

describe('a firing order as typed', () => {
  test('any usual separator is read', () => {
    expect(parseOrder('1-8-4-3 6,5 7 2')).toEqual([1, 8, 4, 3, 6, 5, 7, 2]);
  });
  test('a missing or doubled cylinder is named', () => {
    expect(orderProblem([1, 3, 4, 4], 4)).toContain('1 to 4');
    expect(orderProblem([1, 3, 4, 2], 4)).toBeUndefined();
  });
});

test('a changed firing order drops the intervals that went with the common one', () => {
  const layout = layouts.find(({ id }) => id === 'v2');
  if (!layout) throw new Error('no V-twin');
  const form = { name: ' Twin ', layout, layoutText: layout.layout, bore: '3.5 in', stroke: '4 in', rod: '7.4 in', turning: 'clockwise' as const };
  expect(newBuild({ ...form, order: [1, 2] }).engine.firing_intervals).toEqual(['315 deg', '405 deg']);
  expect(newBuild({ ...form, order: [2, 1] }).engine.firing_intervals).toBeUndefined();
  expect(newBuild({ ...form, order: [1, 2] }).name).toBe('Twin');
});
