import { describe, expect, test } from 'vitest';
import { limitText, barOf, decimalsFor, show, showLimit, showNumber } from './doubt.ts';

describe('digits from the doubt', () => {
  test.each([
    [0.43, 2],
    [0.31, 2],
    [0.0996, 2],
    [0.0994, 3],
    [1.2, 1],
    [9.96, 0],
    [9.94, 1],
    [12, 0],
    [430, 0],
    [0.000012, 6],
  ])('%d keeps two significant digits at %d decimals', (expanded, decimals) => {
    expect(decimalsFor(expanded)).toBe(decimals);
  });

  // JCGM 100:2008, 7.2.2: m_S = 100.021 47 g with u_c = 0.35 mg is stated to the digits 0.000 35 has.
  test('the worked statement of JCGM 100, 7.2.2 keeps its digits', () => {
    expect(show(100.02147, 0.00035, 'g', 'in')).toMatchObject({ value: '100.02147', doubt: '0.00035' });
  });

  test('angles and lengths are shown in the unit of the person', () => {
    expect(show(1.874, 0.0075, 'rad', 'in')).toMatchObject({ value: '107.37', doubt: '0.43', unit: 'deg' });
    expect(show(0.00762, 0.0000127, 'm', 'in')).toMatchObject({ value: '0.30000', doubt: '0.00050', unit: 'in' });
    expect(show(0.00762, 0.0000127, 'm', 'mm')).toMatchObject({ value: '7.620', doubt: '0.013', unit: 'mm' });
  });
  test('without a doubt the usual digits are shown', () => {
    expect(show(0.0254, undefined, 'm', 'in')).toMatchObject({ value: '1.0000', doubt: undefined });
  });
});

test('negative numbers carry a minus sign and zero never does', () => {
  expect(showNumber(-4, 1)).toBe('\u22124.0');
  expect(showNumber(-0.001, 1)).toBe('0.0');
});

test('a limit drops idle zeros', () => {
  expect(showLimit((108 * Math.PI) / 180, 'rad', 'in')).toBe('108');
  expect(showLimit(0.00127, 'm', 'in')).toBe('0.05');
  expect(showLimit(0.00127, 'm', 'mm')).toBe('1.27');
});

test('rounding alone is no doubt that was stated', () => {
  expect(show(0.0079, 1e-17, 'm', 'in')).toEqual(show(0.0079, undefined, 'm', 'in'));
  expect(show(0.0079, 1e-6, 'm', 'in').doubt).toBeDefined();
});

describe('the doubt bar', () => {
  test('everything lies on it, in order', () => {
    const bar = barOf(107, 0.4, 106, 110);
    expect(bar.min).toBeGreaterThan(0);
    expect(bar.max).toBeLessThan(1);
    expect(bar.low).toBeLessThan(bar.value);
    expect(bar.value).toBeLessThan(bar.high);
    expect(bar.min).toBeLessThan(bar.low);
  });
  test('the doubt is centred on the value', () => {
    const bar = barOf(5, 1, undefined, 9);
    expect((bar.low + bar.high) / 2).toBeCloseTo(bar.value, 12);
    expect(bar.min).toBeUndefined();
  });
  test('a value without spread stands in the middle', () => {
    expect(barOf(3, 0, undefined, undefined).value).toBeCloseTo(0.5, 12);
  });
});

test('a limit with one end says which way it holds', () => {
  const degree = Math.PI / 180;
  expect(limitText({ min: 106 * degree, max: 110 * degree }, 'rad', 'in')).toBe('106 to 110 deg');
  expect(limitText({ min: null, max: 109 * degree }, 'rad', 'in')).toBe('109 deg or less');
  expect(limitText({ min: 0.002032 }, 'm', 'in')).toBe('0.08 in or more');
});

test('an end that is not there takes no place on the bar', () => {
  const bar = barOf(10, 1, null, 12);
  expect(bar.min).toBeUndefined();
  expect(bar).toEqual(barOf(10, 1, undefined, 12));
});

describe('forces, rates, stresses, speeds and ratios', () => {
  const lb = 4.4482216152605;
  test('are shown in the person\u2019s unit with the digits of their doubt', () => {
    expect(show(118 * lb, 1.2 * lb, 'N', 'in')).toMatchObject({ value: '118.0', doubt: '1.2', unit: 'lb' });
    expect(show(524.9, 5.3, 'N', 'mm')).toMatchObject({ value: '524.9', doubt: '5.3', unit: 'N' });
    expect(show(57800, 950, 'N/m', 'mm')).toMatchObject({ value: '57.80', doubt: '0.95', unit: 'N/mm' });
    expect(show(57800, 950, 'N/m', 'in')).toMatchObject({ value: '330.0', doubt: '5.4', unit: 'lb/in' });
    expect(show(2.4, 0.31, '1', 'in')).toMatchObject({ value: '2.40', doubt: '0.31', unit: ':1' });
    expect(show(Math.PI * 1000, undefined, 'rad/s', 'in')).toMatchObject({ value: '30000', unit: 'rpm' });
  });
  test('a doubt of thousands leaves no idle digits', () => {
    expect(show(713.08e6, 36.1e6, 'Pa', 'in')).toMatchObject({ value: '103400', doubt: '5200', unit: 'psi', decimals: 0 });
    expect(show(713.08e6, 36.1e6, 'Pa', 'mm')).toMatchObject({ value: '713', doubt: '36', unit: 'MPa' });
    expect(showNumber(-1234, -2)).toBe('\u22121200');
  });
  test('limits in them, both ends in one unit', () => {
    expect(limitText({ min: 105 * lb, max: 125 * lb }, 'N', 'in')).toBe('105 to 125 lb');
    expect(limitText({ min: 1 }, '1', 'in')).toBe('1 :1 or more');
    expect(limitText({ min: 0.5e6, max: 700e6 }, 'Pa', 'mm')).toBe('0.5 to 700 MPa');
  });
});
