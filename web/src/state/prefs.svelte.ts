/** What belongs to the person and the screen, not to an engine: kept in this browser alone. */
import type { LengthUnit } from '../lib/doubt.ts';
import type { FieldUnit } from '../lib/quantity.ts';

export type Theme = 'auto' | 'light' | 'dark';

interface Kept {
  length: LengthUnit;
  theme: Theme;
  who: string;
  device: string;
  fieldUnits: Record<string, FieldUnit>;
  voice: boolean;
}

const place = 'fettle.prefs';
const start: Kept = { length: 'in', theme: 'auto', who: '', device: '', fieldUnits: {}, voice: true };

function load(): Kept {
  try {
    return { ...start, ...(JSON.parse(localStorage.getItem(place) ?? '{}') as Partial<Kept>) };
  } catch {
    return { ...start };
  }
}

class Prefs {
  private kept = $state<Kept>(load());

  get length(): LengthUnit { return this.kept.length; }
  set length(unit: LengthUnit) { this.keep({ length: unit }); }
  get theme(): Theme { return this.kept.theme; }
  set theme(theme: Theme) { this.keep({ theme }); }
  /** Whether bench mode speaks and sounds. */
  get voice(): boolean { return this.kept.voice; }
  set voice(on: boolean) { this.keep({ voice: on }); }
  get who(): string { return this.kept.who; }
  get device(): string { return this.kept.device || 'this screen'; }

  introduce(who: string, device: string): void {
    this.keep({ who: who.trim().slice(0, 60), device: device.trim().slice(0, 60) });
  }

  /** Each field remembers the unit it was last given; until then the person's. */
  unitOf(field: string, fallback: FieldUnit): FieldUnit {
    return this.kept.fieldUnits[field] ?? fallback;
  }

  rememberUnit(field: string, unit: FieldUnit): void {
    this.keep({ fieldUnits: { ...this.kept.fieldUnits, [field]: unit } });
  }

  private keep(change: Partial<Kept>): void {
    this.kept = { ...this.kept, ...change };
    try {
      localStorage.setItem(place, JSON.stringify(this.kept));
    } catch {
      // A full or forbidden store costs the memory of a preference, nothing else.
    }
  }
}

export const prefs = new Prefs();

/** A key made once for each change or window. crypto.randomUUID needs a secure context, which loopback is. */
export const newKey = (): string => crypto.randomUUID();

export const newReadingId = (): string => {
  const bytes = crypto.getRandomValues(new Uint8Array(5));
  return `r${Array.from(bytes, (byte) => (byte % 36).toString(36)).join('')}${Date.now().toString(36).slice(-4)}`;
};

/** Two windows of one browser are two writers: only the window that wrote knows what it has already shown. */
export const windowMark = newKey().slice(0, 4);

export const writer = (change_key: string = newKey()): { by: string; device: string; change_key: string } => ({
  by: prefs.who || 'somebody',
  device: `${prefs.device} ${windowMark}`.slice(0, 60),
  change_key,
});
