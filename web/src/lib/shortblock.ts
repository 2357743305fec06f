/** From the report's pictures of bores and bearings to what is drawn, in the person's units. Data, not drawing. */
import type { BearingClearance, BoreMap, BorePoint } from '../types/api.ts';
import type { Colours } from './curves.ts';
import { fromSi, type LengthUnit, type UnitName } from './quantity.ts';
import { plane } from './topend.ts';

/** What small differences of diameters are said in. */
export const fineUnit = (system: LengthUnit): UnitName => (system === 'in' ? 'thou' : 'um');
const fineDecimals = (system: LengthUnit): number => (system === 'in' ? 1 : 0);

const degrees = (rad: number): number => (rad * 180) / Math.PI;

/** Directions half a turn apart are one; 0 is square to the pin. */
export function directionText(around: number | null): string {
  if (around === null) return 'direction not said';
  const turned = Math.round(((degrees(around) % 180) + 180) % 180) % 180;
  return turned === 0 ? 'square to the pin' : turned === 90 ? 'along the pin' : `${turned} deg`;
}

const depthOf = (point: BorePoint): number => point.along ?? -1;

const byDirection = (points: readonly BorePoint[]): Map<string, BorePoint[]> => {
  const groups = new Map<string, BorePoint[]>();
  for (const point of points) {
    const name = directionText(point.around);
    groups.set(name, [...(groups.get(name) ?? []), point]);
  }
  return groups;
};

export const leastOf = (points: readonly BorePoint[]): number => Math.min(...points.map(({ diameter }) => diameter));

/** A bore as a table: a row for each depth, a column for each direction, in metres over the least. */
export interface BoreTable {
  directions: string[];
  rows: { depth: number | null; over: (number | undefined)[] }[];
}

export function boreTable({ points }: BoreMap): BoreTable {
  const groups = byDirection(points);
  const least = leastOf(points);
  const depths = [...new Set(points.map(depthOf))].sort((a, b) => a - b);
  return {
    directions: [...groups.keys()],
    rows: depths.map((depth) => ({
      depth: depth < 0 ? null : depth,
      over: [...groups.values()].map((of) => {
        const here = of.filter((point) => depthOf(point) === depth);
        return here.length === 0 ? undefined : here.reduce((sum, { diameter }) => sum + diameter, 0) / here.length - least;
      }),
    })),
  };
}

/** Each bore down its depth: what it is over its least diameter, a line for each direction. */
export function boreOption(bores: readonly BoreMap[], system: LengthUnit, colours: Colours): Record<string, unknown> {
  const [fine, long] = [fineUnit(system), system];
  const dashes = ['solid', [9, 3], [2, 3], [9, 3, 2, 3]] as const;
  const marks = ['circle', 'rect', 'triangle', 'diamond'] as const;
  const names = [...new Set(bores.flatMap(({ points }) => points.map(({ around }) => directionText(around))))];
  const series = bores.flatMap((one) => {
    const least = leastOf(one.points);
    return [...byDirection(one.points.filter(({ along }) => along !== null))].map(([name, points]) => {
      const kind = names.indexOf(name) % dashes.length;
      return {
        type: 'line', name: `cylinder ${one.cylinder}, ${name}`, symbol: marks[kind], symbolSize: 8,
        data: points.map(({ along, diameter }) => [fromSi(diameter - least, fine), fromSi(along ?? 0, long)]).sort((a, b) => (a[1] ?? 0) - (b[1] ?? 0)),
        lineStyle: { width: 2, color: kind % 2 === 0 ? colours.intake : colours.exhaust, type: dashes[kind] }, itemStyle: { color: kind % 2 === 0 ? colours.intake : colours.exhaust },
      };
    });
  });
  const option = plane(
    { name: 'over the least diameter', unit: fine, decimals: fineDecimals(system) + 1, min: 0 },
    { name: 'depth below the deck', unit: long, decimals: system === 'in' ? 2 : 1 }, colours, series,
  );
  return { ...option, yAxis: { ...(option['yAxis'] as object), inverse: true } };
}

/** Places of clearances along a picture, 0 to 1, with room at both ends; the band, where there is one, inside. */
export function clearanceScale(rows: readonly BearingClearance[]): (si: number) => number {
  const edges = rows.flatMap((one) => [one.clearance - one.expanded, one.clearance + one.expanded, one.direct, one.crossed, one.strip, one.limit?.min, one.limit?.max])
    .filter((one): one is number => one != null);
  const [least, most] = [Math.min(...edges), Math.max(...edges)];
  const room = (most - least) * 0.1 || 1e-6;
  return (si) => (si - least + room) / (most - least + 2 * room);
}

/** "standard", "-1.0 thou above, standard below" */
export function shellsText([upper, lower]: readonly [number, number], system: LengthUnit): string {
  const unit = fineUnit(system);
  const said = (size: number): string => {
    const shown = fromSi(size, unit).toFixed(fineDecimals(system));
    return Number(shown) === 0 ? 'standard' : `${size > 0 ? '+' : '\u2212'}${shown.replace('-', '')} ${unit}`;
  };
  return said(upper) === said(lower) ? said(upper) : `${said(upper)} above, ${said(lower)} below`;
}
