/**
 * Changes that have been typed and not yet been taken into the ledger. Each is stored before it is sent, under a
 * key of its own, so that a lost network, a reload or a second window cannot lose it or apply it twice.
 */
import type { Clash, Json, Operation, Problem } from '../types/api.ts';
import { applyOperations, overlaps, tokensOf, pathOf } from './pointer.ts';

export type ChangeState = 'waiting' | 'refused' | 'conflict';

export interface Change {
  key: string;
  engine: string;
  base: number;
  by: string;
  device: string;
  operations: Operation[];
  /** Order of typing. */
  order: number;
  state: ChangeState;
  /** How often it was sent; one that was sent may have arrived even if no answer came. */
  sent: number;
  says?: string;
  problems?: Problem[];
  conflicts?: Clash[];
  version?: number;
}

export interface Store {
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
  removeItem(key: string): void;
  key(index: number): string | null;
  readonly length: number;
}

const prefix = 'fettle.out.';

export function loadChanges(store: Store): Change[] {
  const found: Change[] = [];
  for (let i = 0; i < store.length; i += 1) {
    const name = store.key(i);
    if (!name?.startsWith(prefix)) continue;
    try {
      found.push(JSON.parse(store.getItem(name) ?? '') as Change);
    } catch {
      // Not ours to delete: it is skipped and stays where it is.
    }
  }
  return found.sort((a, b) => a.order - b.order);
}

export const saveChange = (store: Store, change: Change): void => store.setItem(prefix + change.key, JSON.stringify(change));

export const dropChange = (store: Store, key: string): void => store.removeItem(prefix + key);

export const pathsOf = (change: Pick<Change, 'operations'>): string[] => change.operations.map(({ path }) => path);

const touch = (a: readonly string[], b: readonly string[]): boolean => a.some((one) => b.some((other) => overlaps(one, other)));

/** The document as typed: the server's with everything still in the outbox on top, conflicts left out. */
export function withPending<T>(document: T, changes: readonly Change[]): T {
  return changes.filter((one) => one.state !== 'conflict').reduce((doc, one) => applyOperations(doc, one.operations), document);
}

/** Whether a change can still be altered: it surely has not been applied. */
const alterable = (change: Change): boolean => change.state !== 'waiting' || change.sent === 0;

/** One operation taken into others that go before it, or nothing where it does not fit inside one of them. */
function foldOne(operations: readonly Operation[], added: Operation): Operation[] | undefined {
  const at = operations.findIndex(({ path, value }) =>
    path === added.path || (added.path.startsWith(`${path}/`) && typeof value === 'object' && value !== null));
  const host = operations[at];
  if (!host) return undefined;
  const copy = [...operations];
  if (host.path === added.path) {
    copy[at] = added;
  } else {
    const inside = pathOf(tokensOf(added.path).slice(tokensOf(host.path).length));
    const operation: Operation = added.value === undefined ? { path: inside } : { path: inside, value: added.value };
    copy[at] = { path: host.path, value: applyOperations(host.value as Json, [operation]) };
  }
  return copy;
}

export function fold(operations: readonly Operation[], added: readonly Operation[]): Operation[] | undefined {
  let folded: Operation[] | undefined = [...operations];
  for (const operation of added) {
    folded = folded && foldOne(folded, operation);
  }
  return folded;
}

export interface Typed {
  key: string;
  engine: string;
  base: number;
  by: string;
  device: string;
  order: number;
  operations: Operation[];
}

export interface Put {
  /** The change to store. */
  change: Change;
  /** The change it takes the place of. */
  replaces?: string;
}

/** Typing again over a change that is still here alters that change; otherwise a new one joins the end. */
export function put(changes: readonly Change[], typed: Typed): Put {
  for (const earlier of [...changes].reverse()) {
    if (earlier.engine !== typed.engine || !touch(pathsOf(earlier), typed.operations.map(({ path }) => path))) continue;
    const folded = alterable(earlier) ? fold(earlier.operations, typed.operations) : undefined;
    if (!folded) break;
    const base = earlier.state === 'conflict' ? (earlier.version ?? typed.base) : earlier.base;
    const change: Change = { ...typed, operations: folded, order: earlier.order, base, state: 'waiting', sent: 0 };
    return { change, replaces: earlier.key };
  }
  return { change: { ...typed, state: 'waiting', sent: 0 } };
}

/** The next change of an engine that may be sent: not one that builds on a refused one before it. */
export function nextToSend(changes: readonly Change[]): Change | undefined {
  const held = new Map<string, string[]>();
  for (const change of changes) {
    const before = held.get(change.engine) ?? [];
    if (change.state === 'waiting' && !touch(before, pathsOf(change))) return change;
    held.set(change.engine, [...before, ...pathsOf(change)]);
  }
  return undefined;
}

/** What waits on top of a change just taken in at `version` has seen that change; its base moves up. */
export function rebased(changes: readonly Change[], taken: Change, version: number): Change[] {
  return changes
    .filter((one) => one.key !== taken.key && one.engine === taken.engine && one.base < version)
    .filter((one) => touch(pathsOf(taken), pathsOf(one)))
    .map((one) => ({ ...one, base: version }));
}

/** "3 readings waiting to be sent" */
export function waitingText(changes: readonly Change[]): string | undefined {
  const waiting = changes.filter((one) => one.state === 'waiting');
  if (waiting.length === 0) return undefined;
  const readings = waiting.filter((one) => pathsOf(one).some((path) => path.startsWith('/readings/'))).length;
  const what = readings === waiting.length ? 'reading' : 'change';
  return `${waiting.length} ${what}${waiting.length === 1 ? '' : 's'} waiting to be sent`;
}
