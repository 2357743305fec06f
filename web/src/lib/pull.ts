/** The pull: what is asked for, and what its figures are in the person's units. Pure functions. */
import type { Correction, Json, Operation } from '../types/api.ts';
import type { PullOrder, PullPoint, PullRequest, PullResult, PullStanding, SpeedPoint } from '../types/pull.ts';
import { showNumber, type LengthUnit } from './doubt.ts';
import { parseQuantity } from './quantity.ts';

const degree = Math.PI / 180;
export const rpmOf = (speed: number): number => (speed * 30) / Math.PI;

/** The foot pound of torque, and the horsepower of 550 of them a second. */
const footPound = 0.3048 * 0.45359237 * 9.80665;
const horsepower = 550 * footPound;
const psi = (0.45359237 * 9.80665) / 0.0254 ** 2;

export interface Scale {
  unit: string;
  decimals: number;
  of: (si: number) => number;
}

export type Figure = 'torque' | 'power' | 'pressure' | 'percent' | 'consumption' | 'temperature' | 'degrees' | 'volume' | 'lift' | 'number' | 'rpm';

const scales: Record<Figure, Record<LengthUnit, Scale>> = (() => {
  const same = (one: Scale): Record<LengthUnit, Scale> => ({ in: one, mm: one });
  const by = (unit: string, decimals: number, factor: number): Scale => ({ unit, decimals, of: (si) => si / factor });
  return {
    torque: { in: by('lb ft', 0, footPound), mm: by('N m', 0, 1) },
    power: { in: by('hp', 0, horsepower), mm: by('kW', 0, 1000) },
    pressure: { in: by('psi', 0, psi), mm: by('kPa', 0, 1000) },
    percent: same(by('%', 1, 0.01)),
    // Per brake work: kg/J to pounds for a horsepower hour, grams for a kilowatt hour.
    consumption: { in: by('lb/hp h', 3, 0.45359237 / (horsepower * 3600)), mm: by('g/kWh', 0, 0.001 / 3.6e6) },
    temperature: { in: { unit: '\u00b0F', decimals: 0, of: (si) => (si - 273.15) * 1.8 + 32 }, mm: { unit: '\u00b0C', decimals: 0, of: (si) => si - 273.15 } },
    degrees: same(by('deg', 1, degree)),
    volume: { in: by('cu in', 1, 0.0254 ** 3), mm: by('cc', 0, 1e-6) },
    lift: { in: by('in', 3, 0.0254), mm: by('mm', 2, 0.001) },
    number: same(by('', 2, 1)),
    rpm: same(by('rpm', 0, Math.PI / 30)),
  };
})();

export const scaleOf = (figure: Figure, system: LengthUnit): Scale => scales[figure][system];

export function figureText(si: number | null, figure: Figure, system: LengthUnit): string {
  const { of, decimals } = scaleOf(figure, system);
  return si === null ? '\u2013' : showNumber(of(si), decimals);
}

/** In whose air the torque is given. */
export type Standard = 'run' | 'sae' | 'iso';
export const standards: readonly { value: Standard; title: string }[] = [
  { value: 'run', title: 'In this air' }, { value: 'sae', title: 'SAE J1349' }, { value: 'iso', title: 'ISO 1585' },
];

export const torqueOf = (point: SpeedPoint, standard: Standard): number =>
  standard === 'sae' ? point.torque_sae : standard === 'iso' ? point.torque_iso : point.brake_torque;

export interface Peak {
  torque: { si: number; speed: number };
  power: { si: number; speed: number };
}

/** The greatest of those that settled, at the speeds that were run; nothing where none did. */
export function peakOf(points: readonly SpeedPoint[], standard: Standard): Peak | undefined {
  const settled = points.filter((one) => one.converged);
  const first = settled[0];
  if (!first) return undefined;
  const best = (of: (point: SpeedPoint) => number): { si: number; speed: number } => {
    const point = settled.reduce((a, b) => (of(b) > of(a) ? b : a), first);
    return { si: of(point), speed: point.speed };
  };
  return { torque: best((one) => torqueOf(one, standard)), power: best((one) => torqueOf(one, standard) * one.speed) };
}

/** Whether the peak lies at an end of what was run: it may lie beyond. */
export function atEnd(points: readonly SpeedPoint[], speed: number): boolean {
  return points.length > 1 && (points[0]?.speed === speed || points.at(-1)?.speed === speed);
}

/** Coverage factor of 95 % for many degrees of freedom, as docs/uncertainty.md. */
const coverage = 2;

/** Half the band of 95 % that the readings' doubt leaves around the torque at each speed: first order, sources independent (JCGM 100:2008, 5.1.2). Nothing where no source was read. */
export function doubtBand({ points, doubts }: Pick<PullResult, 'points' | 'doubts'>): (number | undefined)[] {
  return points.map((_, i) => {
    const parts = doubts.map(({ at }) => at[i]?.torque_u).filter((one) => one != null);
    return parts.length === 0 ? undefined : coverage * Math.hypot(...parts);
  });
}

/** `*` spark held back, `~` two cycles take turns, `!` did not settle: as the command prints them. */
export const markOf = (point: SpeedPoint): string => (point.converged ? `${point.alternates ? '~' : ''}${point.spark_held_back ? '*' : ''}` : '!');

export interface Variant {
  title: string;
  /** Crank degrees by which the cam stands earlier than fitted. */
  cam: number;
  operations: Operation[];
}

export const asItIs: Variant = { title: 'As it is', cam: 0, operations: [] };

export const camTitle = (degrees: number): string => (degrees === 0 ? asItIs.title : `Cam ${showNumber(Math.abs(degrees), Number.isInteger(degrees) ? 0 : 1)}\u00b0 ${degrees > 0 ? 'advanced' : 'retarded'}`);

/** "-4, 0, 4" as degrees, in order and each once; nothing where something else is typed. */
export function parseCams(text: string): number[] | undefined {
  const parts = text.replaceAll('\u2212', '-').split(/[;,\s]+/).filter((one) => one !== '');
  const numbers = parts.map((one) => (/^[+-]?\d+(\.\d+)?$/.test(one) ? Number(one) : Number.NaN));
  return numbers.length === 0 || numbers.some((one) => !(Math.abs(one) <= 60)) ? undefined : [...new Set(numbers)].sort((a, b) => a - b);
}

const angleOf = (value: Json | undefined): number | undefined => (typeof value === 'string' ? parseQuantity(value, 'angle')?.si : undefined);

/** How far each of the timing set's positions lies from the one fitted, crank degrees; a usual choice where there is none. */
export function camsOffered(positions: readonly string[] | undefined, fitted: string | undefined): number[] {
  const now = angleOf(fitted) ?? 0;
  const offered = (positions ?? []).map(angleOf).filter((one) => one !== undefined).map((one) => Math.round(((one - now) / degree) * 10) / 10);
  return offered.length > 1 ? [...new Set([0, ...offered])].sort((a, b) => a - b) : [-4, 0, 4];
}

const moves = (one: Operation): boolean => !one.path.startsWith('/readings/');

/**
 * A correction as a variant. One that only moves the cam is run as a move of the cam: once it is kept, what was read of the lobes belongs to
 * the state before, and a pull of it would fall back on the card.
 */
export function variantOf(correction: Correction, fitted: string | undefined): Variant {
  const parts = correction.operations.filter(moves);
  const [only] = parts;
  const to = parts.length === 1 && only?.path === '/timing_set/fitted' ? angleOf(only.value) : undefined;
  if (to !== undefined) return { title: camTitle(Math.round(((to - (angleOf(fitted) ?? 0)) / degree) * 10) / 10), cam: (to - (angleOf(fitted) ?? 0)) / degree, operations: [] };
  return { title: correction.says.slice(0, 60), cam: 0, operations: correction.operations };
}

export interface Settings {
  from: string;
  to: string;
  step: string;
  pressure: string;
  temperature: string;
  doubts: boolean;
  /** Valves as they run, not as turned by hand. */
  dynamic: boolean;
  cylinder: number;
}

export interface SettingProblems { from?: string; to?: string; step?: string; pressure?: string; temperature?: string; variants?: string }

const wholeRpm = (text: string): number | undefined => (/^\d{2,5}$/.test(text.trim()) ? Number(text.trim()) : undefined);

/** How many speeds are asked for; 0 where that cannot be told. */
export function speedsOf({ from, to, step }: Pick<Settings, 'from' | 'to' | 'step'>): number {
  const [first, last, by] = [wholeRpm(from), wholeRpm(to), wholeRpm(step)];
  return first === undefined || last === undefined || by === undefined || by < 10 || last < first ? 0 : Math.floor((last - first) / by + 1e-9) + 1;
}

/** What is wrong with the settings, in the words that follow the field's name. */
export function settingProblems(settings: Settings, variants: number, most: number): SettingProblems {
  const problems: SettingProblems = {};
  const [first, last, by] = [wholeRpm(settings.from), wholeRpm(settings.to), wholeRpm(settings.step)];
  const speed = (rpm: number | undefined): boolean => rpm !== undefined && rpm >= 200 && rpm <= 20000;
  if (!speed(first)) problems.from = 'is a whole number of rpm, 200 to 20000';
  if (!speed(last)) problems.to = 'is a whole number of rpm, 200 to 20000';
  else if (first !== undefined && last !== undefined && last < first) problems.to = 'is not below the first speed';
  if (by === undefined || by < 10 || by > 5000) problems.step = 'is a whole number of rpm, 10 to 5000';
  const points = speedsOf(settings) * variants;
  if (points > most && problems.step === undefined) problems.step = `gives ${points} points, and ${most} are the most: make it wider, or compare fewer`;
  return problems;
}

/** What bare figures of the air stand for, and the air of both standards: 99 kPa dry, 25 C. */
export const airUnits: Record<LengthUnit, { pressure: string; temperature: string }> = { in: { pressure: 'inHg', temperature: 'F' }, mm: { pressure: 'hPa', temperature: 'C' } };
export const usualAir: Record<LengthUnit, { pressure: string; temperature: string }> = { in: { pressure: '29.235', temperature: '77' }, mm: { pressure: '990', temperature: '25' } };

const typed = (text: string, unit: string): string => (/[a-z\u00b0]/i.test(text) ? text.trim() : `${text.trim()} ${unit}`);

export function requestOf(settings: Settings, variants: readonly Variant[], system: LengthUnit): PullRequest {
  const air = airUnits[system];
  return {
    from: `${settings.from.trim()} rpm`, to: `${settings.to.trim()} rpm`, step: `${settings.step.trim()} rpm`,
    air: { pressure: typed(settings.pressure, air.pressure), temperature: typed(settings.temperature, air.temperature) },
    doubts: settings.doubts, dynamic: settings.dynamic, trace_cylinder: settings.cylinder,
    variants: variants.map(({ title, cam, operations }) => ({ title, ...(cam === 0 ? {} : { cam: `${cam} deg` }), ...(operations.length === 0 ? {} : { operations }) })),
  };
}

/** "1500 to 6500 rpm every 250, 3 side by side" */
export function orderText({ from, to, step, variants, dynamic = false }: PullOrder): string {
  const rpm = (speed: number): string => showNumber(rpmOf(speed), 0);
  const range = from === to ? `${rpm(from)} rpm` : `${rpm(from)} to ${rpm(to)} rpm every ${rpm(step)}`;
  return `${range}, ${variants.length === 1 ? (variants[0]?.title ?? '') : `${variants.length} side by side`}${dynamic ? ', valves as run' : ''}`;
}

/** News of a pull taken into what is known of it. */
export function withNews(standing: PullStanding, news: { state: PullStanding['state']; done: number; total: number; point: PullPoint | null }): PullStanding {
  const { state, done, total, point } = news;
  return { ...standing, state, done, total, so_far: point ? [...standing.so_far, point] : standing.so_far };
}

/** Seconds still to go, from the pace so far. */
export function secondsLeft({ done, total }: Pick<PullStanding, 'done' | 'total'>, elapsed: number): number | undefined {
  return done === 0 ? undefined : (elapsed / done) * (total - done);
}

/** Variants that differ by nothing but the place of the cam, in its order. */
export function camVariants(order: PullOrder): { cam: number; index: number }[] {
  return order.variants.flatMap(({ cam, operations }, index) => (operations.length === 0 ? [{ cam, index }] : [])).sort((a, b) => a.cam - b.cam);
}

/** Texts of `result` that the first variant does not rest on: without them the two cannot be compared. */
export function otherAssumptions(first: PullResult, result: PullResult): string[] {
  const known = new Set(first.assumptions.map(({ text, value }) => `${text}|${value}`));
  return result.assumptions.filter(({ text, value }) => !known.has(`${text}|${value}`)).map(({ text, value }) => `${text}: ${value}`);
}
