import { describe, expect, test } from 'vitest';
import { fromSi, isBareNumber, parseNumber, parseQuantity, splitUnit, unitsOf, wheelUnits, withUnit, wrap180, wrap360 } from './quantity.ts';

describe('numbers as typed', () => {
  test('points, commas, signs and fractions are read', () => {
    expect(parseNumber('0.050')).toBe(0.05);
    expect(parseNumber('.050')).toBe(0.05);
    expect(parseNumber('1,27')).toBe(1.27);
    expect(parseNumber('-4')).toBe(-4);
    expect(parseNumber('\u22124')).toBe(-4);
    expect(parseNumber('1-1/8')).toBe(1.125);
    expect(parseNumber('1/8')).toBe(0.125);
  });
  test('a text that can be read in two ways is refused', () => {
    expect(parseNumber('1,270')).toBeUndefined();
    expect(parseNumber('0,050')).toBe(0.05);
  });
  test.each(['', 'abc', '1.2.3', '1/0', '--4', '4 deg', 'Infinity', '1e999'])('%j is no number', (text) => {
    expect(parseNumber(text)).toBeUndefined();
  });
});

describe('quantities', () => {
  test('the inch is 25.4 mm exactly (NIST SP 811, 2008, appendix B)', () => {
    expect(parseQuantity('1 in', 'length')?.si).toBe(0.0254);
    expect(parseQuantity('50 thou', 'length')?.si).toBeCloseTo(0.00127, 12);
    expect(parseQuantity('1/8"', 'length')?.si).toBeCloseTo(0.003175, 12);
    expect(parseQuantity('1,27 mm', 'length')?.si).toBeCloseTo(0.00127, 12);
  });
  test('a bare number is never given a unit by the parser', () => {
    expect(parseQuantity('0.050', 'length')).toBeUndefined();
    expect(parseQuantity('41', 'angle')).toBeUndefined();
  });
  test('a unit of another dimension is refused', () => {
    expect(parseQuantity('41 deg', 'length')).toBeUndefined();
    expect(parseQuantity('1 in', 'angle')).toBeUndefined();
  });
  test('half a turn is pi', () => {
    expect(parseQuantity('180°', 'angle')?.si).toBeCloseTo(Math.PI, 14);
    expect(fromSi(Math.PI, 'deg')).toBeCloseTo(180, 12);
  });
});

describe('the remembered unit', () => {
  test('bare digits take it, a typed unit wins', () => {
    expect(withUnit('41', 'deg')).toBe('41 deg');
    expect(withUnit(' 0.050 ', 'in')).toBe('0.050 in');
    expect(withUnit('1.27 mm', 'in')).toBe('1.27 mm');
    expect(withUnit('14 BTDC', 'deg')).toBe('14 BTDC');
  });
  test('only numbers are bare', () => {
    expect(isBareNumber('41.5')).toBe(true);
    expect(isBareNumber('41.5 deg')).toBe(false);
  });
});

test('angles wrap to the turn asked for', () => {
  expect(wrap360(-14)).toBe(346);
  expect(wrap360(360)).toBe(0);
  expect(wrap360(-1e-15)).toBe(0);
  expect(wrap180(346)).toBe(-14);
  expect(wrap180(180)).toBe(180);
});

test('the unit is taken apart only where the field shows it and the digits are a number', () => {
  expect(splitUnit('3.970 in', unitsOf.length)).toEqual({ digits: '3.970', unit: 'in' });
  expect(splitUnit('14 BTDC', wheelUnits)).toEqual({ digits: '14', unit: 'BTDC' });
  expect(splitUnit('1/8 in', unitsOf.length)).toEqual({ digits: '1/8', unit: 'in' });
  expect(splitUnit('50 um', unitsOf.length)).toEqual({ digits: '50 um', unit: undefined });
  expect(splitUnit('3"', unitsOf.length)).toEqual({ digits: '3"', unit: undefined });
  expect(splitUnit('', unitsOf.length)).toEqual({ digits: '', unit: undefined });
});
