/** Bench mode: one reading at a time, by few large keys, a space bar or a foot switch. */
import { askedFor, choiceFields, inchesOf, press, takenAtBench, targetText, valueFields, type Key } from '../lib/bench.ts';
import { problemsIn, readFields, shownFields, thousandths, type Texts } from '../lib/entry.ts';
import { optionsOf } from '../lib/options.ts';
import { withUnit, type FieldUnit } from '../lib/quantity.ts';
import { pathsOf } from '../lib/outbox.ts';
import type { FieldDescription, ReadingDescription, StationDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { bench } from './bench.svelte.ts';
import { Draft } from './draft.svelte.ts';
import { outbox } from './outbox.svelte.ts';
import { voice } from './voice.svelte.ts';

/** What stands on the screen: the digits, the list of what is read, one choice of it, a unit, or a question. */
export type View = 'start' | 'read' | 'choose' | 'unit' | 'thousandths';

interface Taken { id: string; texts: Texts; kind: string; said: string }

export class Capture {
  view = $state<View>('start');
  /** The kind of reading, by its place among those that are taken here. */
  private at = $state(0);
  /** The field a choice is open for. */
  chosen = $state<FieldDescription | undefined>();
  /** The value that is asked for, by its key: it stays so while its digits grow. */
  private wanted = $state<string | undefined>();
  taken = $state.raw<readonly Taken[]>([]);
  problem = $state('');
  readonly kinds: readonly ReadingDescription[];
  private readonly drafts = new Map<string, Draft>();

  constructor(engine: string, station: StationDescription, private readonly build: () => Build) {
    this.kinds = station.readings.filter(takenAtBench);
    for (const kind of this.kinds) this.drafts.set(kind.kind, new Draft(engine, kind, build()));
  }

  get description(): ReadingDescription | undefined { return this.kinds[this.at]; }
  get draft(): Draft | undefined { return this.description && this.drafts.get(this.description.kind); }
  private get basis(): string | undefined { return this.draft?.basis ?? (this.description?.exclusive ? this.description.one_of?.[0] : undefined); }
  get bases(): readonly { value: string; title: string }[] {
    const { description } = this;
    return description?.exclusive ? (description.one_of ?? []).map((value) => ({ value, title: description.fields.find(({ key }) => key === value)?.title ?? value })) : [];
  }
  get values(): FieldDescription[] { return this.description ? valueFields(this.description, this.basis) : []; }
  get choices(): FieldDescription[] { return this.description ? choiceFields(this.description, this.basis) : []; }
  get asked(): FieldDescription | undefined {
    return this.values.find(({ key }) => key === this.wanted) ?? askedFor(this.values, this.draft?.texts ?? {});
  }
  get digits(): string { return this.asked ? (this.draft?.texts[this.asked.key] ?? '') : ''; }
  get unit(): FieldUnit { return this.asked && this.draft ? this.draft.unitOf(this.asked) : ''; }
  get target(): string {
    const { description, draft } = this;
    return description && draft ? targetText(description, draft.texts, this.basis, this.asked, draft.unitOf, this.choicesOf) : '';
  }
  get meant(): string | undefined { return this.asked ? thousandths(this.asked, this.digits, this.unit) : undefined; }
  /** Whether another value of the same reading comes before it can be taken. */
  get moreToCome(): boolean { return this.next() !== undefined; }

  choicesOf = (field: FieldDescription): readonly { value: string; title: string }[] => optionsOf(field, this.build()) ?? field.choices ?? [];

  pick(kind: ReadingDescription): void {
    this.at = this.kinds.indexOf(kind);
    this.wanted = undefined;
    this.problem = '';
  }

  /** Which value is asked for first: the first that is missing. */
  private ask(): void {
    this.wanted = askedFor(this.values, this.draft?.texts ?? {})?.key;
  }

  start(key?: string): void {
    this.view = 'read';
    this.problem = '';
    if (key === undefined) this.ask();
    else this.wanted = key;
    voice.say(`${this.target}. ${this.asked?.title ?? ''}`);
  }

  press(key: Key): void {
    const { asked, draft } = this;
    if (this.view !== 'read' || !asked || !draft) return;
    this.problem = '';
    draft.set(asked.key, press(this.digits, key));
  }

  /** The crank went past the place: nothing is kept, and the slack is taken up again. */
  overshot(): void {
    if (this.asked) this.draft?.set(this.asked.key, '');
    this.problem = 'Back up well past the place, then come on again in the same direction.';
    voice.say(this.problem, 'wrong');
  }

  open(field: FieldDescription): void {
    if (this.values.some(({ key }) => key === field.key)) {
      this.start(field.key);
      return;
    }
    this.chosen = field;
    this.view = 'choose';
  }

  choose(value: string): void {
    if (this.chosen) this.draft?.set(this.chosen.key, value);
    this.chosen = undefined;
    this.view = 'start';
  }

  chooseBasis(value: string): void {
    this.draft?.setBasis(value);
    this.wanted = undefined;
  }

  chooseUnit(unit: FieldUnit): void {
    if (this.asked) this.draft?.setUnit(this.asked, unit);
    this.view = 'read';
  }

  turnSign(): void {
    this.view = 'read';
    this.press('-');
  }

  /** The one large key: goes on to the next value, or takes the reading. */
  capture(): void {
    if (this.view === 'start') this.start();
    else if (this.view === 'read' && this.meant) {
      this.view = 'thousandths';
      voice.say(`Is that ${inchesOf(this.meant)}?`);
    } else if (this.view === 'read') this.goOn();
  }

  /** The answer to "50": thousandths, or whole inches as typed. */
  confirm(thou: boolean): void {
    const { asked, draft, meant } = this;
    this.view = 'read';
    if (!asked || !draft) return;
    if (thou && meant) draft.set(asked.key, meant);
    this.goOn();
  }

  /** Out of a choice or a question; false where there is none. */
  back(): boolean {
    const { view } = this;
    if (view === 'choose') this.view = 'start';
    else if (view === 'unit' || view === 'thousandths') this.view = 'read';
    return view !== 'start' && view !== 'read';
  }

  private next(): FieldDescription | undefined {
    const { asked, draft } = this;
    return this.values.find(({ key, required }) => key !== asked?.key && (required || this.basis === key) && (draft?.texts[key] ?? '').trim() === '');
  }

  private goOn(): void {
    const { asked, description, draft } = this;
    if (!asked || !description || !draft) return;
    const problems = problemsIn(description, shownFields(description, this.basis), draft.texts, this.build().engine.firing_order.length, draft.unitOf);
    const next = this.next();
    const here = problems[asked.key] ?? (next ? undefined : Object.values(problems)[0]);
    if (here !== undefined) {
      const field = problems[asked.key] ? asked : shownFields(description, this.basis).find(({ key }) => problems[key]);
      this.problem = `${field?.title ?? ''} ${here}.`;
      voice.say(this.problem, 'wrong');
    } else if (next) {
      this.wanted = next.key;
      voice.say(next.title);
    } else this.take(asked, description, draft);
  }

  private take(asked: FieldDescription, description: ReadingDescription, draft: Draft): void {
    const texts = { ...draft.texts };
    const said = `${withUnit(texts[asked.key] ?? '', draft.unitOf(asked))}, ${this.target}`;
    const id = draft.take();
    this.taken = [...this.taken, { id, texts, kind: description.kind, said }];
    this.ask();
    this.problem = '';
    voice.say(`${said}. Taken. Next: ${this.target}`, 'taken');
  }

  /** Takes back the last reading taken here, and nothing else: another's change is never undone from the bench. */
  undo(): void {
    const last = this.taken.at(-1);
    if (!last) return;
    const unsent = bench.pending.find((one) => pathsOf(one).includes(`/readings/${last.id}`) && (one.state !== 'waiting' || one.sent === 0));
    if (unsent) outbox.drop(unsent.key);
    else bench.set(`/readings/${last.id}`, undefined);
    this.taken = this.taken.slice(0, -1);
    this.at = Math.max(0, this.kinds.findIndex(({ kind }) => kind === last.kind));
    const values = new Set(readFields(this.values).map(({ key }) => key));
    this.draft?.restart(Object.fromEntries(Object.entries(last.texts).map(([key, text]) => [key, values.has(key) ? '' : text])));
    this.ask();
    this.view = 'read';
    this.problem = '';
    voice.say(`Taken back. ${this.target}`, 'wrong');
  }
}
