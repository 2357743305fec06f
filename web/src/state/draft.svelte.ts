/** What stands in a form that has not been sent: kept at every digit, under the engine and the kind of reading. */
import { afterTaking, readingOf, shownFields, startOf, type Texts } from '../lib/entry.ts';
import type { FieldDescription, ReadingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import { unitToStart, type FieldUnit } from '../lib/quantity.ts';
import { bench } from './bench.svelte.ts';
import { newReadingId, prefs } from './prefs.svelte.ts';

export class Draft {
  texts = $state<Texts>({});
  basis = $state<string | undefined>(undefined);
  /** Units chosen for this one reading, by field. */
  private once = $state<Record<string, FieldUnit>>({});
  private readonly place: string;

  constructor(engine: string, private readonly description: ReadingDescription, document: Build) {
    this.place = `fettle.draft.${engine}.${description.kind}`;
    const kept = this.load();
    this.basis = kept['basis'];
    for (const field of description.fields) {
      const text = kept[field.key];
      const gone = field.type === 'tool' && text !== undefined && document.tools?.[text] === undefined;
      this.texts[field.key] = text === undefined || gone ? startOf(field, document) : text;
    }
  }

  unitOf = (field: FieldDescription): FieldUnit => {
    const once = this.once[field.key];
    if (once !== undefined) return once;
    const remembered = prefs.unitOf(this.unitKey(field), unitToStart(field, prefs.length));
    // A wheel numbered from the dead centres has its side said each time: it is never carried over.
    return field.type === 'wheel' && remembered !== 'deg' ? '' : remembered;
  };

  setUnit(field: FieldDescription, unit: FieldUnit): void {
    this.once = { ...this.once, [field.key]: unit };
    prefs.rememberUnit(this.unitKey(field), unit);
  }

  set(key: string, text: string): void {
    this.texts[key] = text;
    this.keep();
  }

  setBasis(basis: string): void {
    this.basis = basis;
    this.keep();
  }

  /** Puts the reading into the build and starts the next; its id. What is wrong with it was asked before. */
  take(): string {
    const id = newReadingId();
    const reading = readingOf(this.description, shownFields(this.description, this.basis), this.texts, this.unitOf);
    bench.submit([{ path: `/readings/${id}`, value: { id, ...reading, taken: new Date().toISOString(), by: prefs.who } }]);
    this.restart(afterTaking(this.description.fields, this.texts));
    return id;
  }

  /** After a reading was taken, or another was chosen to be read again. */
  restart(texts: Texts): void {
    this.texts = texts;
    this.once = {};
    this.keep();
  }

  private unitKey(field: FieldDescription): string {
    return `${this.description.kind}.${field.key}`;
  }

  private load(): Texts {
    try {
      return JSON.parse(localStorage.getItem(this.place) ?? '{}') as Texts;
    } catch {
      return {};
    }
  }

  private keep(): void {
    try {
      localStorage.setItem(this.place, JSON.stringify({ ...this.texts, ...(this.basis ? { basis: this.basis } : {}) }));
    } catch {
      // The form itself still holds it.
    }
  }
}
