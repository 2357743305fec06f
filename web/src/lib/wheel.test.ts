import { expect, test } from 'vitest';
import { echoWheel, parseWheel } from './wheel.ts';

// BTDC x is -x, ATDC x is x, BBDC x is 180 - x, ABDC x is 180 + x: common practice, no source.
test.each([
  ['346', 346],
  ['41.5 deg', 41.5],
  ['-13.968 deg', -13.968],
  ['14 BTDC', -14],
  ['14° btdc', -14],
  ['6 ATDC', 6],
  ['40 BBDC', 140],
  ['37 deg ABDC', 217],
  ['TDC', 0],
  ['BDC', 180],
])('%s is read as %d', (text, degrees) => {
  expect(parseWheel(text)).toBe(degrees);
});

test.each(['', '-14 BTDC', '14 BT', '200 ATDC', '4 TDC', '0.05 in'])('%j is refused', (text) => {
  expect(parseWheel(text)).toBeUndefined();
});

test('the echo says the same place the other way', () => {
  expect(echoWheel('14 BTDC')).toBe('346 on a 360 wheel');
  expect(echoWheel('346')).toBe('14 BTDC');
  expect(echoWheel('217 deg')).toBe('37 ABDC');
  expect(echoWheel('0')).toBe('TDC mark');
  expect(echoWheel('140')).toBe('40 BBDC');
  expect(echoWheel('x')).toBeUndefined();
});

test('what the echo says reads back as the same place', () => {
  for (let degrees = 0.5; degrees < 360; degrees += 1) {
    const echo = echoWheel(String(degrees));
    expect(((parseWheel(echo ?? '') ?? NaN) + 360) % 360).toBeCloseTo(degrees, 9);
  }
});
