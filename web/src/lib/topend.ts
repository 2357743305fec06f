/** From the report's pictures of the top end to what the charts show, in the person's units. Data, not drawing. */
import type { SpringCurve, ValveClearance } from '../types/api.ts';
import type { Valve } from '../types/build.ts';
import type { Colours } from './curves.ts';
import { showNumber } from './doubt.ts';
import { fromSi, usualUnit, type LengthUnit, type UnitName } from './quantity.ts';

type Point = [number, number];

const degrees = (rad: number): number => (rad * 180) / Math.PI;

/** The value between the points of a curve that stands in order either way; nothing outside of it. */
export function between(curve: readonly Point[], x: number): number | undefined {
  for (let i = 1; i < curve.length; i += 1) {
    const [a, b] = [curve[i - 1], curve[i]];
    if (!a || !b || (x - a[0]) * (x - b[0]) > 1e-15) continue;
    return a[0] === b[0] ? a[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
  }
  return undefined;
}

export interface Axis { name: string; unit: string; decimals: number; inverse?: boolean; min?: number; max?: number; interval?: number; wholeNumbers?: boolean }

/** What every chart of two quantities has: axes, read-out, zoom. */
export function plane(x: Axis, y: Axis, colours: Colours, series: readonly object[]): Record<string, unknown> {
  const text = { color: colours.ink, fontSize: 13 };
  const split = { lineStyle: { color: colours.line } };
  const ends = ({ min, max, interval }: Axis): object => Object.fromEntries(Object.entries({ min, max, interval }).filter(([, value]) => value !== undefined));
  const tick = ({ decimals, wholeNumbers }: Axis) => (value: number): string => showNumber(value, wholeNumbers ? 0 : Math.max(0, decimals - 1));
  return {
    animation: false,
    grid: { left: 8, right: 18, top: 30, bottom: 30, containLabel: true },
    textStyle: { fontFamily: 'inherit' },
    xAxis: {
      type: 'value', name: `${x.name}, ${x.unit}`, nameLocation: 'middle', nameGap: 30, nameTextStyle: text, inverse: x.inverse ?? false, scale: true, ...ends(x),
      axisLine: { onZero: false }, axisLabel: { ...text, formatter: tick(x), hideOverlap: true }, splitLine: split,
    },
    yAxis: {
      type: 'value', name: `${y.name}, ${y.unit}`, nameTextStyle: { ...text, align: 'left' }, ...ends(y), position: 'left',
      axisLine: { onZero: false }, axisLabel: { ...text, formatter: tick(y) }, splitLine: split,
    },
    tooltip: {
      trigger: 'item', renderMode: 'richText', confine: true, backgroundColor: colours.card, borderColor: colours.soft, textStyle: text,
      formatter: ({ seriesName, value }: { seriesName: string; value: Point }) =>
        `${seriesName}: ${showNumber(value[1], y.decimals)} ${y.unit} at ${showNumber(value[0], x.decimals)} ${x.unit}`,
    },
    dataZoom: [{ type: 'inside', xAxisIndex: 0, zoomOnMouseWheel: 'ctrl', moveOnMouseWheel: false }],
    series,
  };
}

const dash = (valve: Valve): 'solid' | number[] => (valve === 'intake' ? 'solid' : [9, 3]);
const markOf = (valve: Valve): string => (valve === 'intake' ? 'circle' : 'rect');

/** Load against height, tall to short as the valve opens: a line for each spring, its seat and open height on it, coil bind upright. */
export function springOption(springs: readonly SpringCurve[], chosen: number | undefined, system: LengthUnit, colours: Colours): Record<string, unknown> {
  const [tall, heavy] = [usualUnit('length', system), usualUnit('force', system)];
  const at = ([height, load]: readonly [number, number]): Point => [fromSi(height, tall), fromSi(load, heavy)];
  const name = ({ cylinder, valve }: SpringCurve): string => `${valve} ${cylinder}`;
  const series = springs.flatMap((one): object[] => {
    const strong = chosen === undefined || chosen === one.cylinder;
    const colour = colours[one.valve];
    const style = { color: colour, opacity: strong ? 1 : 0.25 };
    const places = ([['seat', one.seat_height], ['open', one.open_height]] as const).flatMap(([said, height]) => {
      const load = height === null ? undefined : between(one.curve, height);
      return height === null || load === undefined ? [] : [{ said, point: at([height, load]) }];
    });
    return [
      { type: 'line', name: name(one), data: one.curve.map(at), showSymbol: false, lineStyle: { ...style, width: chosen === one.cylinder ? 3 : 1.5, type: dash(one.valve) }, itemStyle: style },
      ...(strong ? [{ type: 'scatter', name: `${name(one)}, read`, data: one.points.map(at), symbolSize: 6, symbol: markOf(one.valve), itemStyle: { color: 'transparent', borderColor: colour, borderWidth: 1.5 } }] : []),
      ...places.filter(() => strong).map(({ said, point }) => ({ type: 'scatter', name: `${name(one)}, ${said}`, data: [point], symbolSize: 11, symbol: said === 'seat' ? 'triangle' : 'diamond', itemStyle: { color: colour } })),
    ];
  });
  const binds = [...new Map(springs.filter((one) => one.solid_height !== null).map((one) => [`${one.valve} ${one.solid_height}`, one])).values()];
  const bind = binds.length === 0 ? [] : [{
    type: 'line', name: 'coil bind', data: [], markLine: {
      symbol: 'none', animation: false, silent: true, label: { color: colours.ink, fontSize: 12, formatter: 'coil bind' },
      // Of binds that stand close together one alone carries the word.
      data: binds.map((one, i) => ({ label: { show: i === 0 }, xAxis: fromSi(one.solid_height ?? 0, tall), lineStyle: { color: colours[one.valve], type: 'dotted', width: 2 } })),
    },
  }];
  const heights = springs.flatMap((one) => [...one.curve.map(([height]) => height), ...one.points.map(([height]) => height), one.seat_height, one.open_height, one.solid_height]).filter((one) => one !== null);
  const step = system === 'in' ? 0.1 : 5;
  const ends = heights.length === 0 ? {} : {
    min: tidy(Math.floor((fromSi(Math.min(...heights), tall) - step / 10) / step) * step), max: tidy(Math.ceil(fromSi(Math.max(...heights), tall) / step) * step),
  };
  return plane({ name: 'height', unit: tall, decimals: system === 'in' ? 3 : 2, wholeNumbers: system === 'mm', inverse: true, ...ends }, { name: 'load', unit: heavy, decimals: system === 'in' ? 1 : 0 }, colours, [...series, ...bind]);
}

const tidy = (value: number): number => Number(value.toFixed(6));

const limitLine = (one: ValveClearance, unit: UnitName, colours: Colours): object => ({
  symbol: 'none', animation: false, silent: true, lineStyle: { color: colours[one.valve], type: 'dotted', width: 2 },
  label: { position: one.valve === 'intake' ? 'insideEndTop' : 'insideStartTop', color: colours.ink, fontSize: 12, formatter: `${one.valve} limit` },
  data: one.limit === null ? [] : [{ yAxis: fromSi(one.limit, unit) }],
});

/** A zero and what lies around it: clearances far from the least are of no interest. */
const headroom = 5;

function clearanceAxis(valves: readonly ValveClearance[], system: LengthUnit, values: readonly number[]): Axis {
  const unit = usualUnit('length', system);
  const most = Math.max(...valves.map(({ limit }) => limit ?? 0), ...values);
  const least = Math.min(0, ...values);
  const fine = system === 'in' ? 0.05 : 1;
  const step = fromSi(most - least, unit) > 6 * fine ? 2 * fine : fine;
  return {
    name: 'clearance', unit, decimals: system === 'in' ? 3 : 2,
    min: tidy(Math.floor(fromSi(least, unit) / step) * step), max: tidy(Math.ceil(fromSi(most, unit) / step) * step),
  };
}

/** Clearance against the crank, nought at overlap TDC. */
export function clearanceOption(valves: readonly ValveClearance[], system: LengthUnit, colours: Colours): Record<string, unknown> {
  const unit = usualUnit('length', system);
  const least = Math.min(...valves.flatMap(({ curve }) => curve.clearance));
  const tallest = Math.min(Math.max(...valves.flatMap(({ curve }) => curve.clearance)), Math.max(least, ...valves.map(({ limit }) => limit ?? 0)) * headroom);
  const series = valves.map((one) => ({
    type: 'line', name: one.valve, showSymbol: false, clip: true, data: one.curve.crank.map((crank, i) => [degrees(crank), fromSi(one.curve.clearance[i] ?? 0, unit)]),
    lineStyle: { width: 2.5, color: colours[one.valve], type: dash(one.valve) }, itemStyle: { color: colours[one.valve] }, markLine: limitLine(one, unit, colours),
    markPoint: {
      symbol: 'diamond', symbolSize: 10, animation: false, itemStyle: { color: colours.card, borderColor: colours[one.valve], borderWidth: 2 }, label: { show: false }, data: [{ type: 'min', name: 'least' }],
    },
  }));
  return plane({ name: 'crank from overlap TDC', unit: 'deg', decimals: 1, wholeNumbers: true }, clearanceAxis(valves, system, [least, tallest]), colours, series);
}

/** Least clearance against how far the cam is moved from where it is, with the positions that keep the limit. */
export function camRoomOption(valves: readonly ValveClearance[], system: LengthUnit, colours: Colours): Record<string, unknown> {
  const unit = usualUnit('length', system);
  const moved = valves.flatMap(({ against_cam: { advance } }) => advance.map(degrees));
  const [from, to] = [tidy(Math.min(...moved)), tidy(Math.max(...moved))];
  const within = (edge: number | null, otherwise: number): number => (edge === null ? otherwise : Math.min(to, Math.max(from, degrees(edge))));
  const series = valves.map((one) => ({
    type: 'line', name: one.valve, showSymbol: false, data: one.against_cam.advance.map((advance, i) => [degrees(advance), fromSi(one.against_cam.clearance[i] ?? 0, unit)]),
    lineStyle: { width: 2.5, color: colours[one.valve], type: dash(one.valve) }, itemStyle: { color: colours[one.valve] }, markLine: limitLine(one, unit, colours),
  }));
  const both = bothWindow(valves);
  const room = both === undefined ? [] : [{
    type: 'line', name: 'allowed', data: [], markArea: {
      silent: true, animation: false, itemStyle: { color: colours.soft, opacity: 0.16 }, label: { color: colours.ink, fontSize: 12, position: 'insideTop' },
      data: [[{ name: 'allowed', xAxis: within(both.most_retard, from) }, { xAxis: within(both.most_advance, to) }]],
    },
  }];
  const now = { type: 'line', name: 'now', data: [], markLine: { symbol: 'none', silent: true, animation: false, lineStyle: { color: colours.ink, width: 1 }, label: { formatter: 'now', color: colours.ink, fontSize: 12 }, data: [{ xAxis: 0 }] } };
  const clearances = valves.flatMap(({ against_cam: { clearance } }) => clearance);
  return plane({ name: 'cam moved, + advanced', unit: 'deg', decimals: 1, wholeNumbers: true, min: from, max: to, interval: 4 }, clearanceAxis(valves, system, clearances), colours, [...room, ...series, now]);
}

export interface Window { most_retard: number | null; most_advance: number | null }

/** The cam positions that all valves allow; nothing where one allows none, or they have none in common. */
export function bothWindow(valves: readonly Pick<ValveClearance, 'window' | 'limit'>[]): Window | undefined {
  const bounded = valves.filter(({ limit }) => limit !== null);
  const windows = bounded.flatMap(({ window }) => (window ? [window] : []));
  if (windows.length === 0 || windows.length < bounded.length) return undefined;
  const edge = (pick: (one: Window) => number | null, choose: (...all: number[]) => number): number | null => {
    const edges = windows.map(pick).filter((one) => one !== null);
    return edges.length > 0 ? choose(...edges) : null;
  };
  const both = { most_retard: edge((one) => one.most_retard, Math.max), most_advance: edge((one) => one.most_advance, Math.min) };
  return both.most_retard !== null && both.most_advance !== null && both.most_retard > both.most_advance ? undefined : both;
}

/** "4.2 deg retarded to 3.1 deg advanced" */
export function windowText({ most_retard, most_advance }: Window): string {
  const edge = (rad: number | null, otherwise: string): string => {
    if (rad === null) return otherwise;
    const size = showNumber(Math.abs(degrees(rad)), 1);
    return size === '0.0' ? 'as it is' : `${size} deg ${rad < 0 ? 'retarded' : 'advanced'}`;
  };
  return `${edge(most_retard, 'any retard')} to ${edge(most_advance, 'any advance')}`;
}

/** Where the crank stands: degrees after the firing TDC of cylinder 1, and in which of the two turns. */
export function crankText(rad: number): string {
  const whole = Math.round(degrees(rad)) % 720;
  return `${whole % 360} deg${whole >= 360 ? ', second turn' : ''}`;
}
