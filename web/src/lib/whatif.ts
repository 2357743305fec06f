/** What if: corrections of one kind as one choice, and what each moves. Works for any station's corrections. */
import type { Correction, Counts, Finding, Json, Moved, Report } from '../types/api.ts';
import { countVerdicts, keyOf } from './findings.ts';
import { parseNumber, parseQuantity } from './quantity.ts';
import { valueAt } from './pointer.ts';

export interface Choice {
  /** What stands on the scale: the value that is set, or the words of the correction. */
  title: string;
  /** Left out: as it is now. */
  correction?: Correction;
}

export interface Group {
  id: string;
  station: string;
  choices: Choice[];
  /** The choices stand in order of a quantity, so that a slider fits. */
  ordered: boolean;
}

/** The place that tells the choices of one kind apart: what all of them set, not being a reading. */
const setBy = (corrections: readonly Correction[]): string | undefined =>
  corrections[0]?.operations.map(({ path }) => path).find((path) => !path.startsWith('/readings/')
    && corrections.every((one) => one.operations.some((operation) => operation.path === path)));

function numberOf(value: Json | undefined): number | undefined {
  if (typeof value === 'number') return value;
  if (typeof value !== 'string') return undefined;
  return parseQuantity(value, 'angle')?.si ?? parseQuantity(value, 'length')?.si ?? parseQuantity(value, 'force')?.si ?? parseNumber(value);
}

export function groupsOf(corrections: readonly Correction[], document: Json): Group[] {
  const byId = new Map<string, Correction[]>();
  for (const one of corrections) byId.set(one.id, [...(byId.get(one.id) ?? []), one]);
  return [...byId].map(([id, list]) => {
    const path = setBy(list);
    const placed = path === undefined ? [] : list.map((correction) => {
      const value = correction.operations.find((one) => one.path === path)?.value;
      return { title: String(value), at: numberOf(value), correction };
    });
    const now = path === undefined ? undefined : valueAt(document, path);
    const at = numberOf(now);
    const ordered = at !== undefined && placed.length > 1 && placed.every((one) => one.at !== undefined);
    const station = list[0]?.station ?? '';
    if (!ordered) return { id, station, ordered, choices: [{ title: 'As it is now' }, ...list.map((correction) => ({ title: correction.says, correction }))] };
    const all: (Choice & { at?: number | undefined })[] = [...placed, { title: `${String(now)}, now`, at }];
    return { id, station, ordered, choices: all.sort((a, b) => (a.at ?? 0) - (b.at ?? 0)).map(({ title, correction }) => (correction ? { title, correction } : { title })) };
  });
}

/** How the findings would be counted after these have moved. */
export function countsAfter(findings: readonly Finding[], moved: readonly Moved[]): Counts {
  const to = new Map(moved.map((one) => [keyOf(one), one.to.verdict]));
  return countVerdicts(findings.map((one) => ({ ...one, verdict: to.has(keyOf(one)) ? (to.get(keyOf(one)) ?? null) : one.verdict })));
}

const turned = ({ from, to }: Moved): boolean => from.verdict !== to.verdict;

export interface MovedKind { id: string; moved: Moved[]; turned: number }

/** Kinds of finding: those with a verdict that turns first, then those with one, then the rest, each as the report has it. */
export function kindsMoved(moved: readonly Moved[]): MovedKind[] {
  const byId = new Map<string, Moved[]>();
  for (const one of moved) byId.set(one.id, [...(byId.get(one.id) ?? []), one]);
  const rank = (one: MovedKind): number => (one.turned > 0 ? 0 : one.moved.some(({ from, to }) => from.verdict ?? to.verdict) ? 1 : 2);
  return [...byId].map(([id, list]) => ({ id, moved: list, turned: list.filter(turned).length })).sort((a, b) => rank(a) - rank(b));
}

/** The correction to make next. None while a mistake stands: readings that may be wrong move no part. */
export const advised = ({ corrections, mistakes }: Pick<Report, 'corrections' | 'mistakes'>): Correction | undefined =>
  mistakes.length > 0 ? undefined : corrections.find((one) => one.recommended);
