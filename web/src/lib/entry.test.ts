import { describe, expect, test } from 'vitest';
import type { FieldDescription, ReadingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { afterTaking, echoOf, problemOf, problemsIn, readingOf, shownFields, startOf, textOf, thousandths } from './entry.ts';

const wheel: FieldDescription = { key: 'wheel', title: 'Wheel shows', type: 'wheel', required: true };
const lift: FieldDescription = { key: 'lift', title: 'Lift', type: 'length', example: '0.050 in' };
const below: FieldDescription = { key: 'below_max', title: 'Drop from the top', type: 'length' };
const cylinder: FieldDescription = { key: 'cylinder', title: 'Cylinder', type: 'cylinder', required: true };
const side: FieldDescription = {
  key: 'side', title: 'Flank', type: 'choice', required: true, alternates: true,
  choices: [{ value: 'opening', title: 'Opening' }, { value: 'closing', title: 'Closing' }],
};
const point: ReadingDescription = {
  kind: 'lobe_point', title: 'Lobe point', one_of: ['lift', 'below_max'], exclusive: true, fields: [cylinder, side, lift, below, wheel],
};
const unitOf = (field: FieldDescription): 'deg' | 'in' => (field.type === 'length' ? 'in' : 'deg');

describe('a reading from a form', () => {
  test('bare digits take the field\u2019s unit and typed units stay', () => {
    const texts = { cylinder: '2', side: 'closing', lift: '1.27 mm', wheel: '217' };
    expect(readingOf(point, point.fields, texts, unitOf)).toEqual({ kind: 'lobe_point', cylinder: 2, side: 'closing', lift: '1.27 mm', wheel: '217 deg' });
  });
  test('lift from the base circle and drop from the top are never sent together', () => {
    expect(shownFields(point, 'below_max').map((field) => field.key)).toEqual(['cylinder', 'side', 'below_max', 'wheel']);
    expect(shownFields(point, undefined).map((field) => field.key)).toContain('lift');
  });
  test('repeats and points become lists', () => {
    const again: FieldDescription = { key: 'repeats', title: 'Again', type: 'wheel_list' };
    const pairs: FieldDescription = { key: 'points', title: 'Points', type: 'points' };
    const description: ReadingDescription = { kind: 'lobe_sweep', title: '', fields: [again, pairs] };
    expect(readingOf(description, [again, pairs], { repeats: '41, 41.5 deg; 14 BTDC', points: '0\t0\n5\t0.1' }, (f) => (f.type === 'points' ? 'mm' : 'deg'))).toEqual({
      kind: 'lobe_sweep', repeats: ['41 deg', '41.5 deg', '14 BTDC'], points: [['0 deg', '0 mm'], ['5 deg', '0.1 mm']],
    });
  });
});

describe('after taking', () => {
  test('the other flank is next and the lift stays, the wheel is empty', () => {
    expect(afterTaking(point.fields, { cylinder: '2', side: 'opening', lift: '0.050', wheel: '3' })).toEqual({ cylinder: '2', side: 'closing', lift: '0.050', below_max: '' });
  });
  test('tools start with the first of the right kind', () => {
    const document = { tools: { dial: { kind: 'dial_indicator' }, wheel: { kind: 'degree_wheel' } } } as unknown as Build;
    expect(startOf({ key: 'tool', title: '', type: 'tool', tools: ['degree_wheel'] }, document)).toBe('wheel');
  });
});

describe('what is wrong is said before sending', () => {
  test('a needed field is named, an unneeded one is not', () => {
    expect(problemOf(wheel, '', 8)).toBe('is needed');
    expect(problemOf(lift, '', 8)).toBeUndefined();
  });
  test('cylinders end where the engine ends', () => {
    expect(problemOf(cylinder, '9', 8)).toBe('is 1 to 8');
    expect(problemOf(cylinder, '8', 8)).toBeUndefined();
  });
  test('units the page does not know are left to the server', () => {
    expect(problemOf(lift, '1/8 furlong', 8)).toBeUndefined();
    expect(problemOf(lift, '..', 8)).toContain('length');
  });
  test('one of several is enough', () => {
    const top: ReadingDescription = { kind: 'lobe_top', title: '', one_of: ['wheel', 'lift'], fields: [{ ...wheel, required: false }, lift] };
    expect(problemsIn(top, top.fields, { lift: '0.3' }, 8)).toEqual({});
    expect(problemsIn(top, top.fields, {}, 8)).toHaveProperty('wheel');
  });
});

describe('bare thousandths', () => {
  test('50 in a field of inches is offered as 50 thou', () => {
    expect(thousandths(lift, '50', 'in')).toBe('50 thou');
    expect(thousandths(lift, '0.050', 'in')).toBeUndefined();
    expect(thousandths(lift, '1', 'in')).toBeUndefined();
    expect(thousandths(lift, '50', 'mm')).toBeUndefined();
  });
});

test('the echo says the other unit', () => {
  expect(echoOf(lift, '0.050', 'in')).toBe('1.27 mm');
  expect(echoOf(lift, '1.27', 'mm')).toBe('0.05 in');
  expect(echoOf(lift, '50 thou', 'mm')).toBe('1.27 mm');
  expect(echoOf(wheel, '346', 'deg')).toBe('14 BTDC');
});

test('what stands in the document can be edited as text', () => {
  expect(textOf(['1 deg', '2 deg'])).toBe('1 deg, 2 deg');
  expect(textOf([['0 deg', '0 in']])).toBe('0 deg\t0 in');
  expect(textOf(undefined)).toBe('');
});

test('a wheel numbered from the dead centres needs its side said each time', () => {
  expect(problemOf(wheel, '14', 8, '')).toContain('BTDC');
  expect(problemOf(wheel, '14', 8, 'BTDC')).toBeUndefined();
  expect(problemOf(wheel, '200', 8, 'BTDC')).toBeDefined();
  expect(readingOf({ kind: 'stop_contact', title: '', fields: [wheel] }, [wheel], { wheel: '14' }, () => 'BTDC')).toEqual({ kind: 'stop_contact', wheel: '14 BTDC' });
});
