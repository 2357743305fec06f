/** From a pull to what its charts show, in the person's units. Data, not drawing. */
import type { PistonValvePicture } from '../types/api.ts';
import type { FullPull, PullResult, SpeedPoint, Trace } from '../types/pull.ts';
import type { Colours } from './curves.ts';
import { showNumber, type LengthUnit } from './doubt.ts';
import { camVariants, doubtBand, rpmOf, scaleOf, torqueOf, type Figure, type Scale, type Standard } from './pull.ts';
import { bothWindow, plane, type Window } from './topend.ts';

type Point = [number, number | null];
type Option = Record<string, unknown>;

const degrees = (rad: number): number => (rad * 180) / Math.PI;

/** Rounded, so that the first and the last lie within an axis that ends at them. */
const shownRpm = (speed: number): number => Number(rpmOf(speed).toFixed(3));

/** Tell apart what colour alone would not: each curve has its own mark and dash. */
const marks = ['circle', 'rect', 'triangle', 'diamond', 'arrow', 'roundRect', 'circle', 'rect', 'triangle'] as const;
export const dashes: readonly ('solid' | number[])[] = ['solid', [9, 3], [3, 3], [14, 3, 3, 3], [6, 6], [2, 5], [18, 4], [4, 2, 2, 2], [10, 2, 2, 2]];
export const colourOf = (colours: Colours, i: number): string => colours.series?.[i % 9] ?? colours.ink;

interface Right { name: string; scale: Scale; min?: number }
interface Plot {
  x: { name: string; unit: string; decimals: number; min?: number; max?: number; interval?: number };
  y: { name: string; scale: Scale; min?: number };
  right?: Right | undefined;
}

/** A chart whose read-out names every curve at the place pointed at; a second scale on the right where there is one. */
function plot({ x, y, right }: Plot, colours: Colours, series: readonly object[]): Option {
  const { unit, decimals } = y.scale;
  const base = plane({ wholeNumbers: true, ...x }, { name: y.name, unit, decimals, ...(y.min === undefined ? {} : { min: y.min }) }, colours, series);
  const text = { color: colours.ink, fontSize: 13 };
  const axis = (one: { name: string; scale: Scale }): string => [one.name, one.scale.unit].filter(Boolean).join(', ');
  const tick = (scale: Scale) => (value: number): string => showNumber(Number(value.toFixed(scale.decimals)), scale.decimals).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '');
  const left = { ...(base['yAxis'] as object), name: axis(y), scale: y.min === undefined, axisLabel: { ...text, formatter: tick(y.scale) } };
  const second = right && {
    type: 'value', position: 'right', name: axis(right), nameTextStyle: { ...text, align: 'right' }, scale: right.min === undefined, ...(right.min === undefined ? {} : { min: right.min }),
    axisLine: { onZero: false }, axisLabel: { ...text, formatter: tick(right.scale) }, splitLine: { show: false },
  };
  const decimalsOf = (axisIndex: number): Scale => (axisIndex === 1 && right ? right.scale : y.scale);
  const onRight = new Set(series.flatMap((one) => { const { name, yAxisIndex } = one as { name: string; yAxisIndex?: number }; return yAxisIndex === 1 ? [name] : []; }));
  return {
    ...base,
    yAxis: second ? [left, second] : left,
    tooltip: {
      ...(base['tooltip'] as object), trigger: 'axis', axisPointer: { type: 'line', lineStyle: { color: colours.soft } },
      formatter: (items: { seriesName: string; value: Point; seriesType: string }[]) => {
        const [first] = items;
        if (!first) return '';
        const lines = items.filter(({ value, seriesType }) => seriesType !== 'custom' && value[1] !== null).slice(0, 10).map(({ seriesName, value }) => {
          const scale = decimalsOf(onRight.has(seriesName) ? 1 : 0);
          return `${seriesName}: ${showNumber(value[1] ?? 0, scale.decimals)} ${scale.unit}`.trim();
        });
        return [`${showNumber(Number(first.value[0]), x.decimals)} ${x.unit}`, ...lines].join('\n');
      },
    },
  };
}

export type Curves = Pick<FullPull, 'order' | 'results'>;

/** From the first speed to the last; a single one in the middle. */
function speedAxis({ from, to, step }: FullPull['order']): Plot['x'] {
  const count = Math.floor((to - from) / step + 1e-9);
  const [first, last] = [shownRpm(from), shownRpm(from + count * step)];
  return { name: 'engine speed', unit: 'rpm', decimals: 0, ...(first === last ? { min: first - 100, max: last + 100 } : { min: first, max: last }) };
}

interface Line { name: string; data: Point[]; colour: string; i: number; thin?: boolean; right?: boolean; plain?: boolean }

const line = ({ name, data, colour, i, thin = false, right = false, plain = false }: Line): object => ({
  type: 'line', name, data, ...(right ? { yAxisIndex: 1 } : {}), connectNulls: false,
  showSymbol: !plain, symbol: marks[i % marks.length], symbolSize: thin ? 5 : 7,
  lineStyle: { width: thin ? 1.6 : 2.6, color: colour, type: thin ? [5, 4] : dashes[i % dashes.length] }, itemStyle: thin ? { color: 'transparent', borderColor: colour, borderWidth: 1.4 } : { color: colour },
});

const over = (points: readonly SpeedPoint[], of: (point: SpeedPoint) => number | null, scale: Scale): Point[] =>
  points.map((one) => { const si = of(one); return [shownRpm(one.speed), si === null ? null : scale.of(si)]; });

const titles = ({ order }: Curves): string[] => order.variants.map(({ title }) => title);
const several = (curves: Curves): boolean => (curves.results?.length ?? 0) > 1;
const named = (curves: Curves, i: number, what: string): string => (several(curves) ? `${titles(curves)[i] ?? ''}, ${what}` : what);

/** The band of the readings' doubt as one shape behind the curve. */
function band(result: PullResult, standard: Standard, scale: Scale, colour: string): object[] {
  const half = doubtBand(result);
  const edge = result.points.flatMap((one, i): [number, number, number][] => {
    const by = half[i];
    const torque = torqueOf(one, standard);
    // A standard's factor is that of the power, doubt included.
    return by === undefined || one.brake_torque === 0 ? [] : [[shownRpm(one.speed), scale.of(torque), scale.of((by * torque) / one.brake_torque)]];
  });
  if (edge.length < 2) return [];
  return [{
    type: 'custom', name: 'doubt of the readings', silent: true, z: 1, data: [0], clip: true,
    renderItem: (_: unknown, api: { coord: (point: number[]) => number[] }) => ({
      type: 'polygon',
      shape: { points: [...edge.map(([x, y, by]) => api.coord([x, y + by])), ...[...edge].reverse().map(([x, y, by]) => api.coord([x, y - by]))] },
      style: { fill: colour, opacity: 0.22 },
    }),
  }];
}

const torqueLine = (curves: Curves, standard: Standard, system: LengthUnit, colours: Colours) => ({ points }: PullResult, i: number): object =>
  line({ name: named(curves, i, 'torque'), data: over(points, (one) => torqueOf(one, standard), scaleOf('torque', system)), colour: colourOf(colours, i), i });
const powerOf = (standard: Standard) => (one: SpeedPoint): number => torqueOf(one, standard) * one.speed;
const bandOf = ({ results }: Curves, standard: Standard, system: LengthUnit, colours: Colours): object[] => (results?.[0] ? band(results[0], standard, scaleOf('torque', system), colourOf(colours, 0)) : []);

/** A single curve in its whole height: torque on the left, power thin on the right. */
export function torquePowerOption(curves: Curves, standard: Standard, system: LengthUnit, colours: Colours): Option {
  const [torque, power] = [scaleOf('torque', system), scaleOf('power', system)];
  const series = (curves.results ?? []).flatMap((result, i) => [
    torqueLine(curves, standard, system, colours)(result, i),
    line({ name: named(curves, i, 'power'), data: over(result.points, powerOf(standard), power), colour: colourOf(colours, i), i, thin: true, right: true }),
  ]);
  return plot({ x: speedAxis(curves.order), y: { name: 'torque', scale: torque, min: 0 }, right: { name: 'power', scale: power, min: 0 } }, colours, [...bandOf(curves, standard, system, colours), ...series]);
}

/** Torque of curves side by side: the differences are what is looked for. */
export function torqueOption(curves: Curves, standard: Standard, system: LengthUnit, colours: Colours): Option {
  const series = (curves.results ?? []).map(torqueLine(curves, standard, system, colours));
  return plot({ x: speedAxis(curves.order), y: { name: 'torque', scale: scaleOf('torque', system) } }, colours, [...bandOf(curves, standard, system, colours), ...series]);
}

export function powerOption(curves: Curves, standard: Standard, system: LengthUnit, colours: Colours): Option {
  const power = scaleOf('power', system);
  const series = (curves.results ?? []).map(({ points }, i) => line({ name: named(curves, i, 'power'), data: over(points, powerOf(standard), power), colour: colourOf(colours, i), i }));
  return plot({ x: speedAxis(curves.order), y: { name: 'power', scale: power } }, colours, series);
}

/** What is known of the torque while the pull runs. */
export function soFarOption({ order, so_far }: Pick<FullPull, 'order' | 'so_far'>, system: LengthUnit, colours: Colours): Option {
  const torque = scaleOf('torque', system);
  const series = order.variants.map(({ title }, i) => line({
    name: title, colour: colourOf(colours, i), i,
    data: so_far.filter(({ variant }) => variant === i).map((one): Point => [shownRpm(one.speed), torque.of(one.brake_torque)]).sort((a, b) => a[0] - b[0]),
  }));
  return plot({ x: speedAxis(order), y: { name: 'torque', scale: torque } }, colours, series);
}

export interface FigureChart {
  title: string;
  /** Told to those who do not see it, and printed under it. */
  says: string;
  name: string;
  figure: Figure;
  lines: { what: string; of: (point: SpeedPoint) => number | null; thin?: boolean }[];
}

export const figureCharts: readonly FigureChart[] = [
  { title: 'Volumetric efficiency', says: 'Dry air taken in over what would fill the swept volume.', name: 'VE', figure: 'percent', lines: [{ what: 'VE', of: (one) => one.volumetric_efficiency }] },
  { title: 'Burned gas left over', says: 'Part of the charge that is burned gas of the cycle before.', name: 'left over', figure: 'percent', lines: [{ what: 'left over', of: (one) => one.residual }] },
  { title: 'Spark and knock', says: 'Spark before firing TDC, and thin above it the spark at which the worst cylinder would knock: the gap is the margin.', name: 'before TDC', figure: 'degrees', lines: [{ what: 'spark', of: (one) => one.advance }, { what: 'would knock', of: (one) => one.knock_advance, thin: true }] },
  { title: 'Fuel by brake work', says: 'Fuel burned for the work at the flywheel.', name: 'BSFC', figure: 'consumption', lines: [{ what: 'BSFC', of: (one) => one.fuel_consumption }] },
  { title: 'Exhaust temperature', says: 'Of what leaves past the valves, by energy. Likely on the high side.', name: 'exhaust', figure: 'temperature', lines: [{ what: 'exhaust', of: (one) => one.exhaust_temperature }] },
  { title: 'Mean pressures', says: 'Brake mean effective pressure, and thin below it what friction costs.', name: 'mean pressure', figure: 'pressure', lines: [{ what: 'BMEP', of: (one) => one.bmep }, { what: 'friction', of: (one) => one.fmep, thin: true }] },
];

export function figureOption(chart: FigureChart, curves: Curves, system: LengthUnit, colours: Colours): Option {
  const scale = scaleOf(chart.figure, system);
  const series = (curves.results ?? []).flatMap(({ points }, i) => chart.lines.map(({ what, of, thin = false }) =>
    line({ name: named(curves, i, what), data: over(points, of, scale), colour: colourOf(colours, i), i, thin })));
  return plot({ x: speedAxis(curves.order), y: { name: chart.name, scale } }, colours, series);
}

/** Speeds that torque against the cam is drawn for. */
export const mostSpeeds = 6;

/** At most so many speeds, spread over those run. */
export function spreadOf(count: number, most: number): number[] {
  if (count <= most) return Array.from({ length: count }, (_, i) => i);
  return [...new Set(Array.from({ length: most }, (_, i) => Math.round((i * (count - 1)) / (most - 1))))];
}

/** The cam positions, moved from where the cam is, that valve to piston allows for every valve; nothing where it allows none or says nothing. */
export function camWindow(picture: PistonValvePicture | null | undefined): Window | 'none' | undefined {
  const bounded = (picture?.valves ?? []).filter(({ limit }) => limit !== null);
  return bounded.length === 0 ? undefined : (bothWindow(bounded) ?? 'none');
}

/** Whether a cam moved so far stands where valve to piston does not keep its limits. */
export function beyondRoom(cam: number, window: Window | 'none' | undefined): boolean {
  if (window === undefined) return false;
  const slack = 1e-9;
  return window === 'none' || (window.most_retard !== null && cam < window.most_retard - slack) || (window.most_advance !== null && cam > window.most_advance + slack);
}

/** Torque against the place of the cam, a line for each of some speeds, with the room that the pistons leave. */
export function camTorqueOption(curves: Curves, window: Window | 'none' | undefined, standard: Standard, system: LengthUnit, colours: Colours): Option {
  const torque = scaleOf('torque', system);
  const cams = camVariants(curves.order);
  const results = curves.results ?? [];
  const speeds = results[0]?.points ?? [];
  const series = spreadOf(speeds.length, mostSpeeds).map((place, i) => line({
    name: `${showNumber(rpmOf(speeds[place]?.speed ?? 0), 0)} rpm`, colour: colourOf(colours, i), i,
    data: cams.flatMap(({ cam, index }): Point[] => { const point = results[index]?.points[place]; return point ? [[degrees(cam), torque.of(torqueOf(point, standard))]] : []; }),
  }));
  const [least, most] = [degrees(cams[0]?.cam ?? 0), degrees(cams.at(-1)?.cam ?? 0)];
  const [from, to] = [Math.floor(least) - 1, Math.ceil(most) + 1];
  const within = (edge: number | null, otherwise: number): number => (edge === null ? otherwise : Math.min(to, Math.max(from, degrees(edge))));
  const room = window === undefined || window === 'none' || within(window.most_retard, from) >= within(window.most_advance, to) ? [] : [{
    type: 'line', name: 'allowed', data: [], markArea: {
      silent: true, animation: false, itemStyle: { color: colours.soft, opacity: 0.16 }, label: { color: colours.ink, fontSize: 12, position: 'insideTopLeft', formatter: 'pistons leave room' },
      data: [[{ name: 'allowed', xAxis: within(window.most_retard, from) }, { xAxis: within(window.most_advance, to) }]],
    },
  }];
  const now = { type: 'line', name: 'now', data: [], markLine: { symbol: 'none', silent: true, animation: false, lineStyle: { color: colours.ink, width: 1 }, label: { formatter: 'now', position: 'end', color: colours.ink, fontSize: 12 }, data: [{ xAxis: 0 }] } };
  return plot({ x: { name: 'cam moved, + advanced', unit: 'deg', decimals: 1, min: from, max: to }, y: { name: 'torque', scale: torque } }, colours, [...room, ...series, now]);
}

const smooth = (name: string, data: Point[], colour: string, i: number, right = false): object => line({ name, data, colour, i, right, plain: true });

/** Pressure against volume; the exchange of gas is the flat loop at the foot. */
export function volumeOption(trace: Trace, system: LengthUnit, colours: Colours): Option {
  const [volume, pressure] = [scaleOf('volume', system), scaleOf('pressure', system)];
  const at = (i: number): Point => [volume.of(trace.volume[i] ?? 0), pressure.of(trace.pressure[i] ?? 0)];
  const data = [...trace.angle.map((_, i) => at(i)), at(0)];
  const option = plot({ x: { name: 'volume', unit: volume.unit, decimals: volume.decimals }, y: { name: 'pressure', scale: pressure, min: 0 } }, colours, [smooth('cylinder', data, colourOf(colours, 0), 0)]);
  // A loop has two pressures at one volume: the nearest point is read out, not all at a place.
  const tooltip = plane({ name: 'volume', unit: volume.unit, decimals: volume.decimals }, { name: 'pressure', unit: pressure.unit, decimals: pressure.decimals }, colours, [])['tooltip'];
  return { ...option, tooltip: { ...(tooltip as object), trigger: 'axis', axisPointer: { type: 'line' }, formatter: (items: { value: Point }[]) => items.slice(0, 4).map(({ value }) => `${showNumber(value[1] ?? 0, pressure.decimals)} ${pressure.unit} at ${showNumber(Number(value[0]), volume.decimals)} ${volume.unit}`).join('\n') } };
}

const upright = (colours: Colours, xAxis: number): object => ({
  type: 'line', name: 'dead centre', data: [], markLine: { symbol: 'none', silent: true, animation: false, lineStyle: { color: colours.soft, width: 1, type: 'dotted' }, label: { show: false }, data: [{ xAxis }] },
});

/** Pressure in the cylinder over the cycle, firing TDC in the middle. */
export function pressureOption(trace: Trace, system: LengthUnit, colours: Colours): Option {
  const pressure = scaleOf('pressure', system);
  const data = trace.angle.map((angle, i): Point => [degrees(angle), pressure.of(trace.pressure[i] ?? 0)]);
  return plot(
    { x: { name: 'crank, firing TDC at 360', unit: 'deg', decimals: 0, min: 0, max: 720, interval: 180 }, y: { name: 'pressure', scale: pressure, min: 0 } }, colours,
    [upright(colours, 360), smooth('cylinder', data, colourOf(colours, 0), 0)],
  );
}

/** Pressures in the ports over the crank, overlap TDC in the middle, with the lifts of the valves. */
export function portOption(trace: Trace, system: LengthUnit, colours: Colours): Option {
  const [pressure, lift] = [scaleOf('pressure', system), scaleOf('lift', system)];
  const centred = (values: readonly number[], scale: Scale): Point[] => trace.angle
    .map((angle, i): Point => [degrees(angle > 2 * Math.PI ? angle - 4 * Math.PI : angle), scale.of(values[i] ?? 0)]).sort((a, b) => a[0] - b[0]);
  const thin = (name: string, values: readonly number[], colour: string, i: number): object => ({ ...(line({ name, data: centred(values, lift), colour, i, thin: true, right: true, plain: true })) });
  const most = lift.of(Math.max(...trace.intake_lift, ...trace.exhaust_lift));
  const option = plot(
    { x: { name: 'crank, overlap TDC at 0', unit: 'deg', decimals: 0, min: -360, max: 360, interval: 180 }, y: { name: 'port pressure', scale: pressure }, right: { name: 'lift', scale: lift, min: 0 } }, colours,
    [
      upright(colours, 0),
      smooth('intake port', centred(trace.intake_pressure, pressure), colours.intake, 0), smooth('exhaust port', centred(trace.exhaust_pressure, pressure), colours.exhaust, 1),
      thin('intake lift', trace.intake_lift, colours.intake, 0), thin('exhaust lift', trace.exhaust_lift, colours.exhaust, 1),
    ],
  );
  // Lifts keep to the lower half, so that they do not hide the waves.
  const [left, right] = option['yAxis'] as [object, object];
  const step = system === 'in' ? 0.2 : 5;
  return { ...option, yAxis: [left, { ...right, max: Number((Math.ceil((2 * most) / step) * step).toFixed(6)), interval: step }] };
}
