/** The engine that is open: the server's state, what is still in the outbox on top, and what just moved. */
import { ApiError, readEngine, readPicture, stepHistory } from '../api.ts';
import { changedReadings } from '../lib/diff.ts';
import { announcement, keyOf } from '../lib/findings.ts';
import { withPending } from '../lib/outbox.ts';
import type { Change } from '../lib/outbox.ts';
import { operationFor, applyOperations } from '../lib/pointer.ts';
import type { Changed, EngineState, Json, LiveEvent, Moved, Operation, StationDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { outbox } from './outbox.svelte.ts';
import { prefs, windowMark, writer } from './prefs.svelte.ts';
import { shop } from './shop.svelte.ts';

const freshFor = 8000;
const cached = (id: string): string => `fettle.engine.${id}`;

class Bench {
  engine = $state.raw<EngineState | undefined>(undefined);
  problem = $state<string | undefined>(undefined);
  gone = $state(false);
  /** Readings that somebody else just changed, and who. */
  fresh = $state.raw<ReadonlyMap<string, string>>(new Map());
  /** Findings that just moved, and from where. */
  moved = $state.raw<ReadonlyMap<string, Moved>>(new Map());
  said = $state('');
  /** From a typed reading to new findings on screen, in ms. */
  took = $state<number | undefined>(undefined);
  private id = '';
  private read = 0;
  private busy = false;
  private again = false;
  private freshTimer: ReturnType<typeof setTimeout> | undefined;
  private movedTimer: ReturnType<typeof setTimeout> | undefined;

  readonly pending = $derived(outbox.changes.filter((one) => one.engine === this.engine?.id));
  readonly document = $derived(this.engine ? withPending(this.engine.document, this.pending) : undefined);
  readonly report = $derived(this.engine?.report);
  readonly conflicts = $derived(this.pending.filter((one) => one.state === 'conflict'));
  readonly refused = $derived(this.pending.filter((one) => one.state === 'refused'));

  constructor() {
    outbox.onTaken((change, answer) => this.take(change, answer));
    shop.onLive((event) => this.hear(event));
  }

  async open(id: string): Promise<void> {
    if (id === this.id && this.engine) return;
    this.id = id;
    this.engine = this.restore(id);
    this.gone = false;
    this.problem = undefined;
    this.read = 0;
    await this.refresh();
  }

  async refresh(by?: string): Promise<void> {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    const { id } = this;
    try {
      const next = await readEngine(id);
      if (id === this.id) this.show(next, by);
      this.problem = undefined;
    } catch (error) {
      this.gone = error instanceof ApiError && error.status === 404;
      this.problem = (error as Error).message;
    }
    this.busy = false;
    if (this.again) {
      this.again = false;
      await this.refresh(by);
    }
  }

  /** Draws a station from the present readings. Until the picture has come the earlier one stands. */
  async draw(station: string): Promise<void> {
    const { id } = this;
    try {
      const { version, picture } = await readPicture(id, station);
      if (!this.engine || id !== this.engine.id || version < this.engine.version) return;
      this.engine = { ...this.engine, pictures: { ...this.engine.pictures, [station]: picture } };
      this.keep();
    } catch {
      // The findings stand without it; the next reading asks again.
    }
  }

  /** Puts a value, or removes it, and shows it at once. */
  set(path: string, value: Json | undefined, starts: Readonly<Record<string, Json>> = {}): void {
    this.submit([operationFor(this.document as unknown as Json, path, value, starts)]);
  }

  submit(operations: Operation[]): void {
    if (this.engine) outbox.submit(this.engine.id, this.engine.version, operations);
  }

  async step(way: 'undo' | 'redo'): Promise<void> {
    if (!this.engine) return;
    const unsent = this.pending.filter((one) => one.state !== 'waiting' || one.sent === 0).at(-1);
    if (way === 'undo' && unsent) {
      outbox.drop(unsent.key);
      return;
    }
    try {
      await stepHistory(this.engine.id, way, this.engine.version, writer());
      this.said = way === 'undo' ? 'Undone' : 'Redone';
    } catch (error) {
      this.problem = (error as Error).message;
    }
    await this.refresh();
  }

  /** One of our changes is in the ledger. */
  private take(change: Change, answer: Changed): void {
    if (!this.engine || change.engine !== this.engine.id || answer.version < this.engine.version) return;
    const others = answer.previous !== undefined && answer.previous !== this.engine.version;
    const document = applyOperations(this.engine.document, change.operations);
    const before = this.engine.report;
    this.engine = {
      ...this.engine, document, report: answer.report, version: answer.version, name: document.name,
      can_undo: { entry: answer.entry, by: change.by, at: new Date().toISOString(), says: '' }, can_redo: null,
    };
    this.keep();
    this.mark(answer.moved);
    this.said = announcement(before, answer.report, answer.moved, this.described(), prefs.length);
    this.took = Math.round(Date.now() - change.order);
    if (others) void this.refresh();
  }

  private hear(event: LiveEvent | undefined): void {
    if (!this.id) return;
    if (event === undefined) {
      outbox.flush();
      void this.refresh();
    } else if (event.engine === this.id && !event.device.endsWith(windowMark) && event.entry > this.read) {
      void this.refresh(event.by);
    }
  }

  private show(next: EngineState, by: string | undefined): void {
    const before = this.engine;
    this.read = next.version;
    if (before && before.id === next.id && next.version < before.version) return;
    this.engine = before?.id === next.id && before.pictures ? { ...next, pictures: before.pictures } : next;
    this.keep();
    if (!before || before.id !== next.id || by === undefined) return;
    this.fresh = new Map([...changedReadings(before.document, next.document)].map((id) => [id, by]));
    clearTimeout(this.freshTimer);
    this.freshTimer = setTimeout(() => (this.fresh = new Map()), freshFor);
    const old = new Map(before.report.findings.map((one) => [keyOf(one), one]));
    const moved = next.report.findings.flatMap((one): Moved[] => {
      const was = old.get(keyOf(one));
      if (!was || (was.value === one.value && was.verdict === one.verdict)) return [];
      return [{ id: one.id, where: one.where, from: was, to: one }];
    });
    this.mark(moved);
    this.said = `${by}: ${announcement(before.report, next.report, moved, this.described(), prefs.length)}`;
  }

  private mark(moved: readonly Moved[]): void {
    this.moved = new Map(moved.map((one) => [keyOf(one), one]));
    clearTimeout(this.movedTimer);
    this.movedTimer = setTimeout(() => (this.moved = new Map()), freshFor);
  }

  private described(): StationDescription['findings'] {
    return shop.stations.flatMap((one) => one.findings);
  }

  /** The last state seen is kept, so that a reload without a network still shows the bench. */
  private keep(): void {
    try {
      if (this.engine) localStorage.setItem(cached(this.engine.id), JSON.stringify(this.engine));
    } catch {
      // Only the view without a network is lost.
    }
  }

  private restore(id: string): EngineState | undefined {
    try {
      return JSON.parse(localStorage.getItem(cached(id)) ?? 'null') as EngineState ?? undefined;
    } catch {
      return undefined;
    }
  }
}

export const bench = new Bench();

export const shownDocument = (): Build | undefined => bench.document;
