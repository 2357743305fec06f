import { describe, expect, test } from 'vitest';
import { pairsText, parsePairs } from './pairs.ts';

describe('pasted pairs', () => {
  test.each([
    ['tab', '0\t0.0000\n5\t0.0010'],
    ['semicolon', '0; 0.0000\n5; 0.0010'],
    ['comma', '0,0.0000\n5,0.0010'],
    ['comma and blank', '0, 0.0000\n5, 0.0010'],
    ['blanks', '0 0.0000\n5   0.0010'],
  ])('separated by %s are read', (_, text) => {
    expect(parsePairs(text, 'in').points).toEqual([['0 deg', '0.0000 in'], ['5 deg', '0.0010 in']]);
  });
  test('typed units win over the remembered one', () => {
    expect(parsePairs('5 deg 0.0010 in\n10 deg\t1.5 mm', 'mm').points).toEqual([['5 deg', '0.0010 in'], ['10 deg', '1.5 mm']]);
  });
  test('decimal commas are read where another separator tells the columns apart', () => {
    expect(parsePairs('2,5\t0,127', 'mm').points).toEqual([['2,5 deg', '0,127 mm']]);
  });
  test('wheels numbered from the dead centres are read', () => {
    expect(parsePairs('14 BTDC\t0.05', 'in').points).toEqual([['14 BTDC', '0.05 in']]);
    expect(parsePairs('14 BTDC 0.05', 'in').points).toEqual([['14 BTDC', '0.05 in']]);
  });
  test('headings and broken lines are named, not lost in silence', () => {
    const pairs = parsePairs('wheel\tlift\n0\t0\n\n5\n10\t0.2', 'in');
    expect(pairs.points).toHaveLength(2);
    expect(pairs.skipped).toEqual([{ line: 1, text: 'wheel\tlift' }, { line: 4, text: '5' }]);
  });
  test('what is written reads back the same', () => {
    const points: [string, string][] = [['0 deg', '0.0000 in'], ['14 BTDC', '1.5 mm']];
    expect(parsePairs(pairsText(points), 'in').points).toEqual(points);
  });
});
