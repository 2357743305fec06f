import { describe, expect, test } from 'vitest';
import { arcPath, numbersRun, onWheel, pairsOf, placeAt } from './polar.ts';

describe('places on a circle', () => {
  test('0 is at the top and angles grow clockwise', () => {
    expect(placeAt(0, 10)).toEqual({ x: 0, y: -10 });
    expect(placeAt(90, 10).x).toBeCloseTo(10, 12);
    expect(placeAt(180, 10).y).toBeCloseTo(10, 12);
  });
  test('long arcs take the long way', () => {
    expect(arcPath(-14, 217, 100)).toContain(' 0 1 1 ');
    expect(arcPath(0, 90, 100)).toContain(' 0 0 1 ');
    expect(arcPath(0, 720, 100).match(/A/g)).toHaveLength(2);
  });
});

describe('numbers on the wheel', () => {
  test('a clockwise wheel that counts up carries its numbers against the clock', () => {
    expect(numbersRun('clockwise', 'forward')).toBe(-1);
    expect(numbersRun('counterclockwise', 'forward')).toBe(1);
    expect(numbersRun('clockwise', 'backward')).toBe(1);
  });
  test('the reading under the pointer is at the top, and forward turning brings larger ones to it', () => {
    const run = numbersRun('clockwise', 'forward');
    expect(onWheel(20, 20, run)).toBeCloseTo(0, 12);
    // Ten degrees later in the turning stands ten degrees before the top, on the side it comes from.
    expect(onWheel(30, 20, run)).toBe(-10);
    expect(onWheel(350, 10, run)).toBe(20);
  });
});

test('pairs of contacts give middle and span, over the zero of the wheel too', () => {
  const contacts = [
    { wheel: 340, turning: 'forward', cylinder: 1 },
    { wheel: 21, turning: 'backward', cylinder: 1 },
    { wheel: 340.5, turning: 'forward', cylinder: 1 },
  ];
  expect(pairsOf(contacts, 0)).toEqual([{ middle: 0.5, span: 41 }]);
});
