import { describe, expect, test } from 'vitest';
import type { Clash, Json } from '../types/api.ts';
import { choicesFor, settle } from './conflict.ts';

const document: Json = { readings: [{ id: 'r1', kind: 'stop_contact', wheel: '41 deg' }], engine: { bore: '100 mm' } };
const clash = (path: string, present: Json, refused: Json): Clash => ({ path, present, refused, by: 'Ben', at: '', entry: 7 });
const onWheel = clash('/readings/r1/wheel', '41 deg', '41.5 deg');
const change = {
  operations: [
    { path: '/readings/r1/wheel', value: '41.5 deg' },
    { path: '/readings/r2', value: { id: 'r2' } },
  ],
  conflicts: [onWheel],
};
const newId = (): string => 'n1';

describe('choices', () => {
  test('both is offered only where a reading can stand beside the other', () => {
    expect(choicesFor(onWheel, document)).toContain('both');
    expect(choicesFor(clash('/engine/bore', '100 mm', '101 mm'), document)).not.toContain('both');
    expect(choicesFor(clash('/readings/r1', null, null), document)).not.toContain('both');
  });
});

describe('settling', () => {
  test('mine sends everything again', () => {
    expect(settle(change, { '/readings/r1/wheel': 'mine' }, document, newId)).toEqual(change.operations);
  });
  test('theirs leaves the place alone and still sends what nobody disputes', () => {
    expect(settle(change, { '/readings/r1/wheel': 'theirs' }, document, newId)).toEqual([change.operations[1]]);
  });
  test('both adds my value as a reading of its own', () => {
    const sent = settle(change, { '/readings/r1/wheel': 'both' }, document, newId);
    expect(sent[0]).toEqual({ path: '/readings/n1', value: { id: 'n1', kind: 'stop_contact', wheel: '41.5 deg' } });
    expect(sent).toHaveLength(2);
  });
  test('without a choice nothing of theirs is written over', () => {
    expect(settle(change, {}, document, newId)).toEqual([change.operations[1]]);
  });
});
