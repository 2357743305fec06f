/** Sorting, counting and naming of what the report says. */
import type { Counts, Finding, FindingDescription, Mistake, Moved, Report, Where } from '../types/api.ts';
import { show, type LengthUnit } from './doubt.ts';

export const verdictWords = { holds: 'holds', fails: 'fails', too_close: 'too close', open: 'open' } as const;

/** "1 holds", "17 fail" */
export function countText(count: number, verdict: keyof typeof verdictWords): string {
  const many: Partial<Record<keyof typeof verdictWords, string>> = { holds: 'hold', fails: 'fail' };
  return `${count} ${count === 1 ? verdictWords[verdict] : (many[verdict] ?? verdictWords[verdict])}`;
}

export const keyOf = (finding: { id: string; where: Where }): string =>
  [finding.id, finding.where.cylinder ?? '', finding.where.valve ?? '', finding.where.at ?? '', finding.where.part ?? '', finding.where.number ?? '', finding.where.main ?? ''].join('|');

export function countVerdicts(findings: readonly Pick<Finding, 'verdict'>[]): Counts {
  const counts: Counts = { holds: 0, fails: 0, too_close: 0, open: 0 };
  for (const { verdict } of findings) if (verdict) counts[verdict] += 1;
  return counts;
}

/** "cylinder 2, exhaust, at 0.050 in" */
export function whereText(where: Where, length: LengthUnit): string {
  const parts: string[] = [];
  if (where.cylinder !== undefined) parts.push(`cylinder ${where.cylinder}`);
  if (where.main !== undefined) parts.push(`main ${where.main}`);
  if (where.valve !== undefined) parts.push(where.valve);
  if (where.part !== undefined) parts.push(where.number === undefined ? where.part : `${where.part} ${where.number}`);
  if (where.at !== undefined) {
    const unit = length === 'in' ? 0.0254 : 0.001;
    parts.push(`at ${(where.at / unit).toFixed(length === 'in' ? 3 : 2)} ${length}`);
  }
  return parts.join(', ');
}

const urgency = { fails: 0, too_close: 1, holds: 2, none: 3, open: 4 } as const;

/** What needs the builder first, then the order of the station's description, then cylinders. */
export function sortFindings(findings: readonly Finding[], described: readonly FindingDescription[]): Finding[] {
  const order = new Map(described.map((one, index) => [one.id, index]));
  return [...findings].sort(
    (a, b) =>
      urgency[a.verdict ?? 'none'] - urgency[b.verdict ?? 'none'] ||
      (order.get(a.id) ?? 99) - (order.get(b.id) ?? 99) ||
      (a.where.cylinder ?? 0) - (b.where.cylinder ?? 0) ||
      (a.where.main ?? 0) - (b.where.main ?? 0) ||
      (a.where.at ?? 0) - (b.where.at ?? 0) ||
      (a.where.number ?? 0) - (b.where.number ?? 0),
  );
}

/** The findings a station is about, in the order of its description. */
export function headlines(findings: readonly Finding[], described: readonly FindingDescription[]): Finding[] {
  return described
    .filter((one) => one.headline)
    .map((one) => findings.find(({ id, value }) => id === one.id && value !== null) ?? findings.find(({ id }) => id === one.id))
    .filter((one): one is Finding => one !== undefined)
    .slice(0, 2);
}

/** Findings of one kind together, kinds in the order they first come. */
export function groupById(findings: readonly Finding[]): { id: string; findings: Finding[] }[] {
  const groups = new Map<string, Finding[]>();
  for (const finding of findings) groups.set(finding.id, [...(groups.get(finding.id) ?? []), finding]);
  return [...groups].map(([id, list]) => ({ id, findings: list }));
}

export const titleOf = (id: string, described: readonly FindingDescription[]): string =>
  described.find((one) => one.id === id)?.title ?? id;

/** Bars and doubts show what stands at the wheel; a wheel reading is brought to one turn. */
export function shownValue(finding: Pick<Finding, 'id' | 'value'>): number | null {
  if (finding.id !== 'tdc.wheel' || finding.value === null) return finding.value;
  const turn = 2 * Math.PI;
  const wrapped = ((finding.value % turn) + turn) % turn;
  return turn - wrapped < 1e-9 ? 0 : wrapped;
}

/** One sentence for those who listen: what moved, and what looks wrong now. */
export function announcement(before: Report | undefined, report: Report, moved: readonly Moved[], described: readonly FindingDescription[], length: LengthUnit): string {
  const known = new Set((before?.mistakes ?? []).map(mistakeKey));
  const fresh = report.mistakes.filter((one) => !known.has(mistakeKey(one))).map((one) => one.says);
  const news = moved.slice(0, 3).map((move) => {
    const finding = report.findings.find((one) => keyOf(one) === keyOf(move));
    const value = finding ? shownValue(finding) : null;
    if (!finding || value === null) return `${titleOf(move.id, described)}: open`;
    const shown = show(value, finding.expanded, finding.unit, length);
    const where = whereText(finding.where, length);
    const verdict = finding.verdict ? `, ${verdictWords[finding.verdict]}` : '';
    return `${titleOf(move.id, described)}${where ? ` ${where}` : ''}: ${shown.value} ${shown.unit}${verdict}`;
  });
  return [...fresh, ...news].join('. ');
}

const mistakeKey = (one: Mistake): string => `${one.id}|${one.cylinder ?? ''}|${one.readings.join(',')}`;
