import { expect, test } from 'vitest';
import { eventText, liftText } from './events.ts';

const degree = Math.PI / 180;

// The convention of the trade: IO before TDC, IC after BDC, EO before BDC, EC after TDC. Common practice, no source.
test.each([
  [-14, 'intake', 'opening', '14.0 BTDC'],
  [3, 'intake', 'opening', '3.0 ATDC'],
  [217, 'intake', 'closing', '37.0 ABDC'],
  [-223, 'exhaust', 'opening', '43.0 BBDC'],
  [-5, 'exhaust', 'closing', '5.0 BTDC'],
  [12, 'exhaust', 'closing', '12.0 ATDC'],
] as const)('%d of %s %s is %s', (angle, valve, edge, text) => {
  expect(eventText(angle * degree, valve, edge)).toBe(text);
});

test('check lifts are shown in the unit of the person', () => {
  expect(liftText(0.00127, 'in')).toBe('0.050 in');
  expect(liftText(0.001, 'mm')).toBe('1.00 mm');
});
