import { describe, expect, test } from 'vitest';
import type { FieldDescription, ReadingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { afterTaking, described, echoOf, problemOf, problemsIn, readFields, readingOf, saidOf, shownFields, startOf, textOf, thousandths, upFront } from './entry.ts';

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

describe('a spring on the tester', () => {
  const height: FieldDescription = { key: 'height', title: 'Spring height', type: 'length', required: true, example: '1.700 in' };
  const load: FieldDescription = { key: 'load', title: 'Load', type: 'force', required: true, example: '118 lbf' };
  const spring = described({ kind: 'stop_contact', title: 'Load at a height', fields: [cylinder, height, load, { key: 'again', title: 'Read again', type: 'measure_list', example: '["118 lbf"]' }] });
  const units = (field: FieldDescription): 'in' | 'lb' => (field.type === 'length' ? 'in' : 'lb');
  const texts = { cylinder: '1', height: '1.700', load: '118', again: '117; 118.5 lb, 520 N' };

  test('has its load and the loads read again in the unit of the field', () => {
    expect(readingOf(spring, spring.fields, texts, units)).toEqual({ kind: 'stop_contact', cylinder: 1, height: '1.700 in', load: '118 lb', again: ['117 lb', '118.5 lb', '520 N'] });
    expect(spring.fields.at(-1)).toMatchObject({ of: 'force', example: '118 lbf, 118 lbf' });
    expect(problemsIn(spring, spring.fields, texts, 8, units)).toEqual({});
    expect(problemOf(load, 'heavy', 8)).toBeUndefined();
    expect(problemOf(load, '..', 8)).toContain('118');
    expect(echoOf(load, '118', 'lb')).toBe('525 N');
  });
  test('keeps the height for the next one and never the load', () => {
    expect(afterTaking(spring.fields, texts)).toEqual({ cylinder: '1', height: '1.700' });
  });
  test('is listed by its load', () => {
    expect(saidOf(spring, { cylinder: 1, height: '1.700 in', load: '118 lb', again: ['117 lb'] })).toEqual({ value: '118 lb', besides: 'spring height 1.700 in; read again 117 lb' });
  });
});

test('where a length alone is read it goes after taking, and what was in place stays', () => {
  const shim: FieldDescription = { key: 'shim', title: 'Shims in place', type: 'length' };
  const height: FieldDescription = { key: 'height', title: 'Spring height', type: 'length', required: true };
  const fields = [cylinder, height, shim];
  expect(readFields(fields)).toEqual([height]);
  expect(afterTaking(fields, { cylinder: '2', height: '1.7', shim: '0.030' })).toEqual({ cylinder: '2', shim: '0.030' });
  expect(described({ kind: 'stop_contact', title: '', fields: [...fields, { key: 'again', title: '', type: 'measure_list' }] }).fields.at(-1)?.of).toBe('length');
});

test('numbers are numbers, and turns have no unit', () => {
  const turns: FieldDescription = { key: 'turns', title: 'Turns', type: 'number', required: true };
  expect(problemOf(turns, 'three', 8)).toBe('is a number: 0.75');
  expect(readingOf({ kind: 'stop_contact', title: '', fields: [turns] }, [turns], { turns: '3/4' }, () => '')).toEqual({ kind: 'stop_contact', turns: 0.75 });
});

test('the usual gauge comes first where several fit', () => {
  const gauge = { key: 'gauge', title: '', type: 'tool', tools: ['caliper', 'feeler_gauge', 'micrometer'] } as unknown as FieldDescription;
  const [field] = described({ kind: 'valve_lash', title: '', fields: [gauge] } as unknown as ReadingDescription).fields;
  const document = { tools: { caliper: { kind: 'caliper' }, feelers: { kind: 'feeler_gauge' } } } as unknown as Build;
  expect(field && startOf(field, document)).toBe('feelers');
});

test('the width of a mark is asked for beside its place, what was in place is not', () => {
  const length = (key: string, required = false): FieldDescription => ({ key, title: key, type: 'length', required });
  const mark: ReadingDescription = { kind: 'stop_contact', title: '', fields: [cylinder, length('offset', true), length('width'), length('pushrod')] };
  expect(mark.fields.filter((field) => upFront(mark, field)).map(({ key }) => key)).toEqual(['cylinder', 'offset', 'width']);
  expect(upFront(point, lift)).toBe(true);
});
