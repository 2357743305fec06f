import { beforeEach, describe, expect, test } from 'vitest';
import {
  dropChange, fold, loadChanges, nextToSend, put, rebased, saveChange, waitingText, withPending,
  type Change, type Store, type Typed,
} from './outbox.ts';

class MemoryStore implements Store {
  private readonly kept = new Map<string, string>();
  get length(): number { return this.kept.size; }
  getItem(key: string): string | null { return this.kept.get(key) ?? null; }
  setItem(key: string, value: string): void { this.kept.set(key, value); }
  removeItem(key: string): void { this.kept.delete(key); }
  key(index: number): string | null { return [...this.kept.keys()][index] ?? null; }
}

const typed = (key: string, path: string, value: Typed['operations'][0]['value'], order = 1): Typed => ({
  key, engine: 'e1', base: 5, by: 'Ada', device: 'phone', order,
  operations: [value === undefined ? { path } : { path, value }],
});
const waiting = (key: string, path: string, value: Typed['operations'][0]['value'], order = 1): Change =>
  ({ ...typed(key, path, value, order), state: 'waiting', sent: 0 });

describe('storage', () => {
  let store: MemoryStore;
  beforeEach(() => { store = new MemoryStore(); });
  test('changes come back in the order of typing', () => {
    saveChange(store, waiting('b', '/readings/r2', {}, 2));
    saveChange(store, waiting('a', '/readings/r1', {}, 1));
    store.setItem('other', 'x');
    expect(loadChanges(store).map((one) => one.key)).toEqual(['a', 'b']);
    dropChange(store, 'a');
    expect(loadChanges(store).map((one) => one.key)).toEqual(['b']);
  });
  test('a damaged entry hides nothing else and stays', () => {
    store.setItem('fettle.out.bad', '{');
    saveChange(store, waiting('a', '/name', 'x'));
    expect(loadChanges(store)).toHaveLength(1);
    expect(store.length).toBe(2);
  });
});

describe('typing over what still waits', () => {
  test('an edit of an unsent reading is taken into it', () => {
    const result = put([waiting('a', '/readings/r1', { id: 'r1', wheel: '1 deg' })], typed('b', '/readings/r1/wheel', '2 deg'));
    expect(result.replaces).toBe('a');
    expect(result.change.operations).toEqual([{ path: '/readings/r1', value: { id: 'r1', wheel: '2 deg' } }]);
  });
  test('a change that may have arrived is left alone', () => {
    const sent = { ...waiting('a', '/readings/r1', { id: 'r1' }), sent: 1 };
    const result = put([sent], typed('b', '/readings/r1/wheel', '2 deg'));
    expect(result.replaces).toBeUndefined();
    expect(result.change.operations).toEqual([{ path: '/readings/r1/wheel', value: '2 deg' }]);
  });
  test('a refused change typed again waits once more, with a new key', () => {
    const refused: Change = { ...waiting('a', '/readings/r1/wheel', 'x'), state: 'refused', sent: 1, says: 'no' };
    const result = put([refused], typed('b', '/readings/r1/wheel', '2 deg'));
    expect(result).toMatchObject({ replaces: 'a', change: { key: 'b', state: 'waiting', sent: 0 } });
    expect(result.change.says).toBeUndefined();
  });
  test('a conflict typed again stands on the version that was shown', () => {
    const met: Change = { ...waiting('a', '/name', 'x'), state: 'conflict', version: 9 };
    expect(put([met], typed('b', '/name', 'y')).change.base).toBe(9);
  });
  test('other places and other engines are no host', () => {
    expect(put([waiting('a', '/readings/r1', {})], typed('b', '/readings/r2', {})).replaces).toBeUndefined();
    expect(put([{ ...waiting('a', '/name', 'x'), engine: 'e2' }], typed('b', '/name', 'y')).replaces).toBeUndefined();
  });
  test('a removal takes the place of the setting', () => {
    expect(fold([{ path: '/readings/r1', value: {} }], [{ path: '/readings/r1' }])).toEqual([{ path: '/readings/r1' }]);
  });
  test('folding shows the same document as one after the other', () => {
    const document = { readings: [{ id: 'r0' }] };
    const first = [{ path: '/readings/r1', value: { id: 'r1', wheel: '1 deg', pass: 2 } }];
    const second = [{ path: '/readings/r1/pass' }, { path: '/readings/r1/wheel', value: '3 deg' }];
    const folded = fold(first, second);
    const one: Change = { ...waiting('a', '/', 0), operations: folded ?? [] };
    const two: Change[] = [{ ...waiting('a', '/', 0), operations: first }, { ...waiting('b', '/', 0), operations: second }];
    expect(withPending(document, [one])).toEqual(withPending(document, two));
  });
});

describe('sending', () => {
  test('what builds on a refused change is held, the rest goes on', () => {
    const refused: Change = { ...waiting('a', '/readings/r1', {}), state: 'refused' };
    expect(nextToSend([refused, waiting('b', '/readings/r1/wheel', '1 deg')])).toBeUndefined();
    expect(nextToSend([refused, waiting('b', '/readings/r2', {})])?.key).toBe('b');
  });
  test('a change on top of one just taken in has seen it, others have not', () => {
    const first = waiting('a', '/readings/r1', {});
    const later = [waiting('b', '/readings/r1/wheel', '1 deg'), waiting('c', '/readings/r2', {})];
    expect(rebased([first, ...later], first, 8)).toEqual([{ ...later[0], base: 8 }]);
  });
});

test('conflicts are not shown as if they held', () => {
  const conflict: Change = { ...waiting('a', '/name', 'mine'), state: 'conflict' };
  expect(withPending({ name: 'theirs' }, [conflict]).name).toBe('theirs');
});

test('the state is said plainly', () => {
  expect(waitingText([])).toBeUndefined();
  expect(waitingText([waiting('a', '/readings/r1', {})])).toBe('1 reading waiting to be sent');
  expect(waitingText([waiting('a', '/readings/r1', {}), waiting('b', '/name', 'x')])).toBe('2 changes waiting to be sent');
});
