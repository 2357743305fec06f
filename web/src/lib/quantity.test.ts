import { describe, expect, test } from 'vitest';
import { dimensionOf, fromSi, isBareNumber, otherUnit, parseNumber, parseQuantity, splitUnit, units, unitsFor, unitsOf, unitToStart, usualUnit, wheelUnits, withUnit, wrap180, wrap360 } from './quantity.ts';

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

// NIST SP 811 (2008), appendix B.8: pound-force, pound-force per inch, psi, revolution per minute, ounce, square inch.
test.each([
  ['lb', 4.448222], ['lb/in', 175.1268], ['psi', 6894.757], ['rpm', 0.1047198], ['oz', 0.02834952], ['sq in', 6.4516e-4],
] as const)('one %s is %d SI units', (unit, factor) => {
  expect(Math.abs(units[unit].factor / factor - 1)).toBeLessThan(1e-6);
});

test('forces, rates and pressures are read in every spelling that is offered', () => {
  expect(parseQuantity('118 lbf', 'force')).toMatchObject({ number: 118, unit: 'lb' });
  expect(parseQuantity('525 N', 'force')?.si).toBe(525);
  expect(parseQuantity('330 lb/in', 'rate')?.unit).toBe('lb/in');
  expect(parseQuantity('690 MPa', 'pressure')?.si).toBe(690e6);
  expect(parseQuantity('6200 rpm', 'speed')?.unit).toBe('rpm');
  expect(parseQuantity('1.5 :1', 'ratio')?.si).toBe(1.5);
  expect(parseQuantity('118 lb', 'length')).toBeUndefined();
});

test('a unit spelt otherwise stands beside the digits as the field has it', () => {
  expect(splitUnit('118 lbf', unitsOf.force)).toEqual({ digits: '118', unit: 'lb' });
  expect(splitUnit('330 lbf/in', unitsOf.rate)).toEqual({ digits: '330', unit: 'lb/in' });
  expect(splitUnit('200 mm2', unitsOf.area)).toEqual({ digits: '200', unit: 'mm2' });
  expect(splitUnit('118 lb, 117 lb', unitsOf.force)).toEqual({ digits: '118 lb, 117 lb', unit: undefined });
});

test('the person\u2019s system says the unit, and the other one the echo', () => {
  expect(usualUnit('force', 'in')).toBe('lb');
  expect(usualUnit('pressure', 'mm', 101325)).toBe('kPa');
  expect(usualUnit('pressure', 'mm', 700e6)).toBe('MPa');
  expect(otherUnit('lb', 500)).toBe('N');
  expect(otherUnit('N/mm', 500)).toBe('lb/in');
  expect(otherUnit('thou', 0.001)).toBe('mm');
  expect(otherUnit('psi', 690e6)).toBe('MPa');
  expect(otherUnit('deg', 1)).toBeUndefined();
  expect(otherUnit('rpm', 1)).toBeUndefined();
});

test('a field\u2019s units come from what it holds; a list says it apart', () => {
  expect(unitsFor({ type: 'force' })).toEqual(['lb', 'N']);
  expect(unitsFor({ type: 'measure_list', of: 'force' })).toEqual(['lb', 'N']);
  expect(unitToStart({ type: 'measure_list' }, 'mm')).toBe('mm');
  expect(unitToStart({ type: 'wheel' }, 'mm')).toBe('deg');
  expect(unitsFor({ type: 'number' })).toEqual([]);
  expect(unitToStart({ type: 'text' }, 'in')).toBe('');
  expect(dimensionOf({ type: 'cylinder' })).toBeUndefined();
});
