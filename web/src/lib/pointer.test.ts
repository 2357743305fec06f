import { describe, expect, test } from 'vitest';
import type { Json } from '../types/api.ts';
import { applyOperations, operationFor, overlaps, pathOf, tokensOf, valueAt } from './pointer.ts';

// RFC 6901, section 5: the document and the pointers of its examples.
const rfc: Json = { foo: ['bar', 'baz'], '': 0, 'a/b': 1, 'c%d': 2, 'e^f': 3, 'g|h': 4, 'i\\j': 5, 'k"l': 6, ' ': 7, 'm~n': 8 };

test.each([
  ['', rfc],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
])('RFC 6901 example %j', (path, value) => {
  expect(valueAt(rfc, path)).toEqual(value);
  expect(pathOf(tokensOf(path))).toBe(path);
});

const document = { name: 'Invented', readings: [{ id: 'r1', wheel: '0 deg' }, { id: 'r2', wheel: '41 deg' }] };

describe('operations on readings', () => {
  test('a reading is found by its id and set in place', () => {
    const after = applyOperations(document, [{ path: '/readings/r2/wheel', value: '41.5 deg' }]);
    expect(after.readings[1]).toEqual({ id: 'r2', wheel: '41.5 deg' });
    expect(document.readings[1]?.wheel).toBe('41 deg');
  });
  test('a reading with a new id is appended, even where there was none', () => {
    const value = { id: 'r3', wheel: '1 deg' };
    expect(applyOperations(document, [{ path: '/readings/r3', value }]).readings).toHaveLength(3);
    expect(applyOperations({ name: 'x' }, [{ path: '/readings/r3', value }])).toEqual({ name: 'x', readings: [value] });
  });
  test('without a value it is removed', () => {
    expect(applyOperations(document, [{ path: '/readings/r1' }]).readings.map((one) => one.id)).toEqual(['r2']);
    expect(applyOperations(document, [{ path: '/readings/r9' }]).readings).toHaveLength(2);
  });
});

describe('operations on parts', () => {
  test('an existing parent gives the plain operation', () => {
    expect(operationFor({ cam: { follower: 'flat' } }, '/cam/wanted_centerline', '108 deg')).toEqual({
      path: '/cam/wanted_centerline',
      value: '108 deg',
    });
  });
  test('missing parents are made from what a new part holds at least', () => {
    expect(operationFor({}, '/cam/card/intake/centerline', '108 deg', { '/cam': { follower: 'flat' } })).toEqual({
      path: '/cam',
      value: { follower: 'flat', card: { intake: { centerline: '108 deg' } } },
    });
  });
  test('removing needs no parents', () => {
    expect(operationFor({}, '/cam/card', undefined)).toEqual({ path: '/cam/card' });
  });
});

test('paths overlap when one leads to the other', () => {
  expect(overlaps('/readings/r1', '/readings/r1/wheel')).toBe(true);
  expect(overlaps('/readings/r1', '/readings/r1')).toBe(true);
  expect(overlaps('/readings/r1', '/readings/r10')).toBe(false);
});
