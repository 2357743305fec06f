/** Keeps what was typed until the ledger has it: stores first, sends one after the other, tries again. */
import { ApiError, sendChange } from '../api.ts';
import {
  dropChange, loadChanges, nextToSend, put, rebased, saveChange, waitingText, type Change,
} from '../lib/outbox.ts';
import type { Changed, Operation } from '../types/api.ts';
import { newKey, writer } from './prefs.svelte.ts';

export type Taken = (change: Change, answer: Changed) => void;

const longestWait = 15_000;

class Outbox {
  changes = $state.raw<Change[]>(loadChanges(localStorage));
  /** Why the last try did not get through. */
  problem = $state<string | undefined>(undefined);
  /** This browser has no room to keep a change before it is sent. */
  full = $state(false);
  readonly waiting = $derived(waitingText(this.changes));
  private sending = false;
  private wait = 1000;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private readonly hooks = new Set<Taken>();

  start(): void {
    addEventListener('online', () => this.flush());
    addEventListener('storage', () => this.reload());
    document.addEventListener('visibilitychange', () => this.flush());
    this.flush();
  }

  onTaken(hook: Taken): () => void {
    this.hooks.add(hook);
    return () => this.hooks.delete(hook);
  }

  of(engine: string): Change[] {
    return this.changes.filter((one) => one.engine === engine);
  }

  submit(engine: string, base: number, operations: Operation[]): void {
    if (operations.length === 0) return;
    const { by, device, change_key: key } = writer();
    const typed = { key, engine, base, by, device, order: Date.now(), operations };
    const { change, replaces } = put(this.changes, typed);
    this.store(change);
    this.changes = replaces === undefined ? [...this.changes, change] : this.changes.map((one) => (one.key === replaces ? change : one));
    if (replaces !== undefined) dropChange(localStorage, replaces);
    this.flush();
  }

  /** A change given up by the person: what it held is gone with it. */
  drop(key: string): void {
    dropChange(localStorage, key);
    this.changes = this.changes.filter((one) => one.key !== key);
  }

  /** A change that met another, as it goes on after the choice. */
  replace(change: Change, operations: Operation[]): void {
    this.drop(change.key);
    if (operations.length > 0) this.submit(change.engine, change.version ?? change.base, operations);
  }

  flush(): void {
    clearTimeout(this.timer);
    if (!this.sending) void this.sendAll();
  }

  private async sendAll(): Promise<void> {
    this.sending = true;
    for (let next = nextToSend(this.changes); next; next = nextToSend(this.changes)) {
      if (!(await this.sendOne(next))) {
        this.timer = setTimeout(() => this.flush(), this.wait);
        this.wait = Math.min(longestWait, this.wait * 2);
        break;
      }
      this.wait = 1000;
    }
    this.sending = false;
  }

  /** False when nothing can be sent just now. */
  private async sendOne(waiting: Change): Promise<boolean> {
    const change: Change = { ...waiting, sent: waiting.sent + 1 };
    this.update(change);
    try {
      const answer = await sendChange(change.engine, change.base, change.operations, { by: change.by, device: change.device, change_key: change.key });
      rebased(this.changes, change, answer.version).forEach((one) => this.update(one));
      this.hooks.forEach((hook) => hook(change, answer));
      this.drop(change.key);
      this.problem = undefined;
      return true;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.problem = error.passing ? error.message : undefined;
      if (error.passing) return false;
      this.turnDown(change, error);
      return true;
    }
  }

  private turnDown(change: Change, error: ApiError): void {
    const state = error.status === 409 && error.conflicts.length > 0 ? 'conflict' : 'refused';
    const version = error.version === undefined ? {} : { version: error.version };
    // Turned down leaves the key free, but a new one is the plainest way to say that this is another try.
    const turned: Change = { ...change, ...version, state, sent: 0, says: error.message, problems: error.problems, conflicts: error.conflicts };
    this.update(turned);
  }

  retry(change: Change): void {
    this.drop(change.key);
    const again: Change = { ...change, key: newKey(), state: 'waiting', sent: 0 };
    this.store(again);
    this.changes = [...this.changes, again].sort((a, b) => a.order - b.order);
    this.flush();
  }

  private update(change: Change): void {
    this.store(change);
    this.changes = this.changes.map((one) => (one.key === change.key ? change : one));
  }

  private store(change: Change): void {
    try {
      saveChange(localStorage, change);
      this.full = false;
    } catch {
      this.full = true;
    }
  }

  /** Another window of this browser sent or stored something. */
  private reload(): void {
    if (!this.sending) this.changes = loadChanges(localStorage);
  }
}

export const outbox = new Outbox();
