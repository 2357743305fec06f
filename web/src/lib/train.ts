/** From the valve train at speed to what its charts show, in the person's units. Data, not drawing. */
import type { RunningSpeed, RunningTrain } from '../types/api.ts';
import type { Colours } from './curves.ts';
import { show, showNumber } from './doubt.ts';
import { fromSi, usualUnit, type LengthUnit } from './quantity.ts';
import { plane } from './topend.ts';

type Option = Record<string, unknown>;

const degrees = (rad: number): number => (rad * 180) / Math.PI;
/** Whole rpm: the redline and its parts are what people read off. */
export const rpmOf = (speed: number): number => Math.round((speed * 30) / Math.PI);
const crankOf = ({ from, step }: RunningTrain, i: number): number => degrees(from + step * i);

export const bands = 6;

/** Steps of 1, 2 or 5 times a power of ten, so that `bands` of them hold `most`. */
export function bandStep(most: number): number {
  const raw = most / bands;
  const ten = 10 ** Math.floor(Math.log10(raw));
  return ten * ([1, 2, 5, 10].find((one) => one * ten >= raw * (1 - 1e-9)) ?? 10);
}

/** Neighbours over the crank that are alike: apart, or with a force of one band. */
export interface Run {
  from: number;
  to: number;
  /** Of the force; nothing where a contact is open. */
  band: number | undefined;
  /** Widest gap in it, m. */
  gap: number;
}

export function runsOf(train: RunningTrain, speed: RunningSpeed, band: (newton: number) => number): Run[] {
  const runs: Run[] = [];
  const half = degrees(train.step) / 2;
  speed.force.forEach((force, i) => {
    const gap = speed.gap[i] ?? 0;
    const kind = gap > 0 ? undefined : band(force);
    const last = runs.at(-1);
    const at = crankOf(train, i);
    if (last && last.band === kind) {
      last.to = at + half;
      last.gap = Math.max(last.gap, gap);
    } else {
      runs.push({ from: at - half, to: at + half, band: kind, gap });
    }
  });
  return runs;
}

export interface Band { least: number; most: number; unit: string; opacity: number }

/** The steps of force that the map is shaded in, least first. */
export function forceBands(train: RunningTrain, system: LengthUnit): Band[] {
  const unit = usualUnit('force', system);
  const step = bandStep(fromSi(Math.max(1, ...train.speeds.flatMap(({ force }) => force)), unit));
  return Array.from({ length: bands }, (_, i) => ({ least: i * step, most: (i + 1) * step, unit, opacity: 0.06 + (0.94 * i) / (bands - 1) }));
}

interface Box { type: 'rect'; shape: object; style: object }
interface Api { value: (i: number) => number; coord: (point: number[]) => number[]; size: (size: number[]) => number[] }

/** A box of card colour with upright strokes: open contact, told from every shade without colour. */
function hatched(x: number, y: number, width: number, height: number, colours: Colours): object {
  const strokes = Math.max(1, Math.floor(width / 4));
  return {
    type: 'group', children: [
      { type: 'rect', shape: { x, y, width, height }, style: { fill: colours.card, stroke: colours.ink, lineWidth: 1 } },
      ...Array.from({ length: strokes }, (_, i) => { const at = x + (width * (i + 0.5)) / strokes; return { type: 'line', shape: { x1: at, y1: y, x2: at, y2: y + height }, style: { stroke: colours.ink, lineWidth: 1.2 } }; }),
    ],
  };
}

const lengthText = (si: number, system: LengthUnit): string => { const { value, unit } = show(si, undefined, 'm', system); return `${value} ${unit}`; };

/** Speed against crank angle, shaded by the force of lobe on follower; where a contact is open, hatched. */
export function mapOption(train: RunningTrain, system: LengthUnit, colours: Colours): Option {
  const shades = forceBands(train, system);
  const [first] = shades;
  const step = first ? first.most : 1;
  const unit = usualUnit('force', system);
  const rows = train.speeds.map(({ speed }) => rpmOf(speed));
  const apart = ((rows.at(-1) ?? 0) - (rows[0] ?? 0)) / Math.max(1, rows.length - 1);
  const runs = train.speeds.flatMap((speed) => runsOf(train, speed, (force) => Math.min(bands - 1, Math.floor(fromSi(force, unit) / step))).map((run) => ({ ...run, rpm: rpmOf(speed.speed) })));
  const line = {
    type: 'line', name: 'redline', data: [], markLine: {
      symbol: 'none', animation: false, silent: true, lineStyle: { color: colours.ink, type: 'dashed', width: 1.5 }, label: { position: 'insideStartTop', formatter: 'redline', color: colours.ink, fontSize: 12 }, data: [{ yAxis: rpmOf(train.redline) }],
    },
  };
  const map = {
    type: 'custom', name: 'map', clip: true, data: runs.map(({ from, to, rpm, band }) => [from, rpm, to, band ?? -1]), encode: { x: [0, 2], y: 1 },
    renderItem: (_: unknown, api: Api): object => {
      const [x = 0, y = 0] = api.coord([api.value(0), api.value(1) + apart / 2]);
      const [right = 0, bottom = 0] = api.coord([api.value(2), api.value(1) - apart / 2]);
      const band = api.value(3);
      if (band < 0) return hatched(x, y, right - x, bottom - y, colours);
      const box: Box = { type: 'rect', shape: { x, y, width: right - x + 0.4, height: bottom - y + 0.4 }, style: { fill: colours[train.valve], opacity: shades[band]?.opacity ?? 1 } };
      return box;
    },
  };
  const ends = { min: (rows[0] ?? 0) - apart / 2, max: (rows.at(-1) ?? 0) + apart / 2 };
  const option = plane(
    { name: 'crank from full lift', unit: 'deg', decimals: 0, wholeNumbers: true, min: crankOf(train, 0), max: crankOf(train, train.rigid_lift.length - 1), interval: 60 },
    { name: 'engine speed', unit: 'rpm', decimals: 0, ...ends }, colours, [map, line],
  );
  const text = ({ dataIndex }: { dataIndex: number }): string => {
    const run = runs[dataIndex];
    if (!run) return '';
    const shade = run.band === undefined ? undefined : shades[run.band];
    const what = shade ? `${showNumber(shade.least, 0)} to ${showNumber(shade.most, 0)} ${unit}` : `apart, by up to ${lengthText(run.gap, system)}`;
    return `${run.rpm} rpm, ${showNumber(run.from, 0)} to ${showNumber(run.to, 0)} deg\n${what}`;
  };
  return { ...wholeTicks(option, train), tooltip: { ...(option['tooltip'] as object), formatter: text } };
}

/** Round numbers along the crank, whatever the window's ends; the ends of the speeds carry none. */
function wholeTicks(option: Option, train: RunningTrain): Option {
  const ticks: number[] = [];
  for (let at = Math.ceil(crankOf(train, 0) / 60) * 60; at <= crankOf(train, train.rigid_lift.length - 1); at += 60) ticks.push(at);
  const [x, y] = [option['xAxis'] as { axisLabel: object }, option['yAxis'] as { axisLabel: object }];
  const { interval: _, ...rest } = x as { interval?: number; axisLabel: object };
  return { ...option, xAxis: { ...rest, axisLabel: { ...x.axisLabel, customValues: ticks }, axisTick: { customValues: ticks } }, yAxis: { ...y, axisLabel: { ...y.axisLabel, showMinLabel: false, showMaxLabel: false } } };
}

/** Lift as run over the lift as turned by hand, force on a scale of its own; where a contact is open, a bar along the foot. */
export function runOption(train: RunningTrain, speed: RunningSpeed, system: LengthUnit, colours: Colours): Option {
  const [length, force] = [usualUnit('length', system), usualUnit('force', system)];
  const decimals = system === 'in' ? 4 : 3;
  const over = (values: readonly number[], of: (si: number) => number): [number, number][] => values.map((value, i) => [crankOf(train, i), of(value)]);
  const lift = (si: number): number => fromSi(si, length);
  const colour = colours[train.valve];
  const open = runsOf(train, speed, () => 0).filter(({ band }) => band === undefined);
  const series = [
    { type: 'line', name: 'by hand', data: over(train.rigid_lift, lift), showSymbol: false, lineStyle: { color: colours.ink, width: 1.4, type: [5, 4] }, itemStyle: { color: colours.ink } },
    {
      type: 'line', name: 'as run', data: over(speed.lift, lift), showSymbol: false, lineStyle: { color: colour, width: 2.6 }, itemStyle: { color: colour },
      markArea: { silent: true, animation: false, itemStyle: { color: colours.soft, opacity: 0.25 }, label: { show: false }, data: open.map(({ from, to }) => [{ xAxis: from }, { xAxis: to }]) },
    },
    { type: 'line', name: 'force', data: over(speed.force, (si) => fromSi(si, force)), yAxisIndex: 1, showSymbol: false, lineStyle: { color: colours.soft, width: 1.3, type: 'dotted' }, itemStyle: { color: colours.soft } },
  ];
  const option = plane({ name: 'crank from full lift', unit: 'deg', decimals: 0, wholeNumbers: true, min: crankOf(train, 0), max: crankOf(train, train.rigid_lift.length - 1) }, { name: 'lift', unit: length, decimals: system === 'in' ? 2 : 1 }, colours, series);
  const left = option['yAxis'] as { axisLabel: object; nameTextStyle: object };
  const right = {
    ...left, name: `force, ${force}`, nameTextStyle: { ...left.nameTextStyle, align: 'right' }, position: 'right', min: 0, splitLine: { show: false },
    axisLabel: { ...left.axisLabel, formatter: (value: number) => showNumber(value, 0) },
  };
  const text = (items: { value: [number, number]; dataIndex: number }[]): string => {
    const [at] = items;
    if (!at) return '';
    const i = at.dataIndex;
    const gap = speed.gap[i] ?? 0;
    const [rigid = 0, run = 0] = [train.rigid_lift[i], speed.lift[i]];
    return [
      `${showNumber(crankOf(train, i), 0)} deg`, `by hand: ${showNumber(lift(rigid), decimals)} ${length}`, `as run: ${showNumber(lift(run), decimals)} ${length} (${run >= rigid ? '+' : ''}${showNumber(lift(run - rigid), decimals)})`,
      gap > 0 ? `apart by ${lengthText(gap, system)}` : `force: ${showNumber(fromSi(speed.force[i] ?? 0, force), 0)} ${force}`,
    ].join('\n');
  };
  return {
    ...wholeTicks({ ...option, yAxis: left }, train), yAxis: [left, right],
    tooltip: { ...(option['tooltip'] as object), trigger: 'axis', axisPointer: { type: 'line', lineStyle: { color: colours.soft } }, formatter: text },
  };
}

/** Orders of the crank by index: the cam turns at half its speed. */
export const orderOf = (i: number): number => (i + 1) / 2;

/** Amplitude of the spring's middle coil by orders, one ridge at each speed; dotted, where an order meets the spring's own frequency. */
export function waterfallOption(train: RunningTrain, system: LengthUnit, colours: Colours): Option {
  const speeds = [...train.speeds].reverse();
  const rows = speeds.map(({ speed }) => rpmOf(speed));
  const [top = 0, bottom = 0] = [rows[0], rows.at(-1)];
  const apart = (top - bottom) / Math.max(1, rows.length - 1);
  // The first orders are the cam's own motion of the coil, not surge.
  const from = orderOf(firstShown);
  const most = Math.max(1e-9, ...speeds.flatMap(({ surge_orders }) => surge_orders.slice(firstShown)));
  const ridge = (amplitude: number): number => (amplitude / most) * 4 * apart;
  const orders = speeds[0]?.surge_orders.length ?? 0;
  const series = speeds.map(({ surge_orders }, row): object => {
    const base = rows[row] ?? 0;
    const points = surge_orders.slice(firstShown).map((amplitude, i) => [orderOf(i + firstShown), base + ridge(amplitude)]);
    return {
      type: 'custom', name: `${base} rpm`, z: 2 + row, clip: true, data: [[from, base]], encode: { x: 0, y: 1 },
      renderItem: (_: unknown, api: Api): object => {
        const line = points.map((point) => api.coord(point));
        return { type: 'group', children: [
          { type: 'polygon', shape: { points: [api.coord([from, base]), ...line, api.coord([orderOf(orders - 1), base])] }, style: { fill: colours.card, opacity: 0.85 } },
          { type: 'polyline', shape: { points: line }, style: { stroke: colours[train.valve], fill: 'none', lineWidth: base === rpmOf(train.redline) ? 3 : 1.4 } },
        ] };
      },
      silent: true,
    };
  });
  const own = Array.from({ length: 60 }, (_, i) => bottom + ((top - bottom) * i) / 59).map((rpm): [number, number] => [((train.spring_frequency * 30) / Math.PI) / rpm, rpm]);
  // Unseen, for the read-out: one place for each order.
  const reader = { type: 'line', name: 'orders', z: 1, data: Array.from({ length: orders - firstShown }, (_, i) => [orderOf(i + firstShown), top]), showSymbol: false, lineStyle: { opacity: 0 } };
  const natural = { type: 'line', name: 'spring', data: own.filter(([order]) => order >= from && order <= orderOf(orders - 1)), z: 40, silent: true, showSymbol: false, lineStyle: { color: colours.ink, type: 'dotted', width: 1.8 }, tooltip: { show: false } };
  const option = plane({ name: 'order of the crank', unit: 'a turn', decimals: 0, wholeNumbers: true, min: from, max: orderOf(orders - 1) }, { name: 'engine speed', unit: 'rpm', decimals: 0, min: bottom - apart / 2, max: top + 5 * apart }, colours, [reader, ...series, natural]);
  const text = (items: { value: [number, number]; seriesName: string }[]): string => {
    const at = items.find(({ seriesName }) => seriesName === 'orders');
    if (!at) return '';
    const i = Math.round(at.value[0] * 2) - 1;
    const worst = [...train.speeds].sort((a, b) => (b.surge_orders[i] ?? 0) - (a.surge_orders[i] ?? 0)).slice(0, 3);
    return [`order ${showNumber(orderOf(i), 1)}, greatest:`, ...worst.map(({ speed, surge_orders }) => `${rpmOf(speed)} rpm: ${lengthText(surge_orders[i] ?? 0, system)}`)].join('\n');
  };
  const x = option['xAxis'] as { axisLabel: object };
  const y = option['yAxis'] as { axisLabel: object };
  return {
    ...option, xAxis: { ...x, name: 'order: times a turn of the crank', interval: 2, min: Math.floor(from), axisLabel: x.axisLabel }, yAxis: { ...y, axisLabel: { ...y.axisLabel, showMinLabel: false, showMaxLabel: false } },
    tooltip: { ...(option['tooltip'] as object), trigger: 'axis', axisPointer: { type: 'line', lineStyle: { color: colours.soft } }, formatter: text },
  };
}

/** Index of the first order that the waterfall shows: below it the coil follows the lobe itself. */
export const firstShown = 5;

export const nearest = (train: RunningTrain, rpm: number | undefined): RunningSpeed | undefined => {
  const wanted = rpm ?? rpmOf(train.redline);
  return train.speeds.reduce<RunningSpeed | undefined>((best, one) => (best === undefined || Math.abs(rpmOf(one.speed) - wanted) < Math.abs(rpmOf(best.speed) - wanted) ? one : best), undefined);
};

/** What the map says in words, for those who do not see it. */
export function mapText({ speeds, redline }: RunningTrain): string {
  const apart = speeds.filter(({ separates }) => separates).map(({ speed }) => rpmOf(speed));
  const [first] = apart;
  return first === undefined ? `no contact opens up to ${rpmOf(speeds.at(-1)?.speed ?? 0)} rpm; the redline is ${rpmOf(redline)} rpm` : `contact opens at ${apart.length} of ${speeds.length} speeds, first at ${first} rpm; the redline is ${rpmOf(redline)} rpm`;
}
