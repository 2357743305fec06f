/** The builder's own limits: for all findings of a kind, or for one cylinder, valve or check lift only (docs/format.md). */
import type { Finding, Where } from '../types/api.ts';
import type { Build, Limit } from '../types/build.ts';
import { parseQuantity } from './quantity.ts';

/** What a limit is narrowed to; a check lift in metres, as findings say it. */
export type Scope = Pick<Where, 'cylinder' | 'valve' | 'at' | 'main'>;

/** From all of a kind to this one alone. A check lift is never widened: durations at two lifts share no limit. */
export function scopesOf(where: Where): Scope[] {
  const { cylinder, valve, at, main } = where;
  const lift = at === undefined ? {} : { at };
  const scopes: Scope[] = [lift];
  if (valve !== undefined) scopes.push({ valve, ...lift });
  if (cylinder !== undefined) scopes.push({ cylinder, ...lift });
  if (main !== undefined) scopes.push({ main, ...lift });
  if (valve !== undefined && cylinder !== undefined) scopes.push({ cylinder, valve, ...lift });
  return scopes;
}

export function scopeTitle({ cylinder, valve, main }: Scope): string {
  if (main !== undefined) return `Main ${main} only`;
  if (cylinder !== undefined) return `Cylinder ${cylinder}${valve === undefined ? '' : `, ${valve}`} only`;
  return valve === undefined ? 'All of this kind' : `Every ${valve}`;
}

const sameLift = 1e-7;  // m, as the program takes lifts for the same

const metres = (text: string | undefined): number | undefined => (text === undefined ? undefined : parseQuantity(text, 'length')?.si);

function covers(limit: Limit, id: string, scope: Scope): boolean {
  const at = metres(limit.at);
  const lift = at === undefined || scope.at === undefined ? limit.at === undefined && scope.at === undefined : Math.abs(at - scope.at) < sameLift;
  return limit.finding === id && limit.cylinder === scope.cylinder && limit.valve === scope.valve && limit.main === scope.main && lift;
}

export const limitAt = (limits: Build['limits'], id: string, scope: Scope): Limit | undefined =>
  (limits ?? []).filter((one) => covers(one, id, scope)).at(-1);

/** The scope of the most particular limit typed for a finding; where none is, all of the kind. */
export function scopeInForce(limits: Build['limits'], finding: Pick<Finding, 'id' | 'where'>): number {
  const typed = scopesOf(finding.where).map((scope) => limitAt(limits, finding.id, scope) !== undefined);
  return Math.max(0, typed.lastIndexOf(true));
}

/** A check lift as text: inches where it is a round one of them, else millimetres. */
export function liftAsTyped(at: number): string {
  const thou = at / 0.0000254;
  return Math.abs(thou - Math.round(thou)) < 1e-6 ? `${(thou / 1000).toFixed(3)} in` : `${Number((at * 1000).toFixed(4))} mm`;
}

export interface Bounds { min?: string; max?: string; source?: string }

/** All limits with this one in its place; without bounds it is taken out. */
export function withLimit(limits: Build['limits'], id: string, scope: Scope, bounds: Bounds): Limit[] {
  const others = (limits ?? []).filter((one) => !covers(one, id, scope));
  if (bounds.min === undefined && bounds.max === undefined) return others;
  const { cylinder, valve, at, main } = scope;
  return [...others, {
    finding: id, ...(valve === undefined ? {} : { valve }), ...(cylinder === undefined ? {} : { cylinder }), ...(main === undefined ? {} : { main }),
    ...(at === undefined ? {} : { at: liftAsTyped(at) }), ...bounds,
  }];
}
