/** From the report's pictures of volumes, deck and balance to what is drawn, in the person's units. Data, not drawing. */
import type { BalancePicture, DeckPicture, Phasor, RoomAbove } from '../types/api.ts';
import type { Colours } from './curves.ts';
import { showNumber } from './doubt.ts';
import { fromSi, usualUnit, type LengthUnit } from './quantity.ts';

type Point = [number, number];

/** Shades of one colour from strong to faint, told apart by their dashes of light. */
const shade = [1, 0.72, 0.5, 0.32, 0.18];

/** Room above each piston, stacked; what a dome takes away stands below nought. */
export function volumeOption(rooms: readonly RoomAbove[], colours: Colours): Record<string, unknown> {
  const text = { color: colours.ink, fontSize: 13 };
  const ids = [...new Set(rooms.flatMap((one) => one.parts.map(({ id }) => id)))];
  const named = (id: string): string => rooms.flatMap((one) => one.parts).find((part) => part.id === id)?.title ?? id;
  const drawn = ids.filter((id) => rooms.some((one) => one.parts.some((part) => part.id === id && Math.abs(part.volume) > 1e-9)));
  const series = drawn.map((id, i) => ({
    type: 'bar', name: named(id), stack: 'room', barMaxWidth: 64, itemStyle: { color: colours.intake, opacity: shade[i] ?? 0.1, borderColor: colours.card, borderWidth: 1 },
    data: rooms.map((one) => fromSi(one.parts.find((part) => part.id === id)?.volume ?? 0, 'cc')),
    label: { show: rooms.length <= 8, color: colours.ink, textBorderColor: colours.card, textBorderWidth: 3, fontSize: 11, formatter: ({ value }: { value: number }) => (Math.abs(value) < 2 ? '' : showNumber(value, 1)) },
  }));
  return {
    animation: false, grid: { left: 8, right: 12, top: 30, bottom: 30, containLabel: true }, textStyle: { fontFamily: 'inherit' },
    xAxis: { type: 'category', name: 'cylinder', nameLocation: 'middle', nameGap: 30, nameTextStyle: text, axisLabel: text, data: rooms.map(({ cylinder }) => String(cylinder)) },
    yAxis: { type: 'value', name: 'above the piston at TDC, cc', nameTextStyle: { ...text, align: 'left' }, axisLabel: text, splitLine: { lineStyle: { color: colours.line } } },
    tooltip: {
      trigger: 'item', renderMode: 'richText', confine: true, backgroundColor: colours.card, borderColor: colours.soft, textStyle: text,
      formatter: ({ seriesName, value, name }: { seriesName: string; value: number; name: string }) => `cylinder ${name}, ${seriesName}: ${showNumber(value, 1)} cc`,
    },
    dataZoom: [{ type: 'inside', xAxisIndex: 0, zoomOnMouseWheel: 'ctrl', moveOnMouseWheel: false }],
    series,
  };
}

/** The parts of one stack as words, the largest first. */
export const roomText = (room: RoomAbove): string =>
  [...room.parts].filter(({ volume }) => Math.abs(volume) > 1e-9).sort((a, b) => b.volume - a.volume).map(({ title, volume }) => `${title} ${showNumber(fromSi(volume, 'cc'), 1)}`).join(', ');

/** Deck clearances of one bank from front to rear: over the pin, at the edges, and the line through them. */
export function deckOption(picture: DeckPicture, bank: number, system: LengthUnit, colours: Colours): Record<string, unknown> {
  const unit = usualUnit('length', system);
  const decimals = system === 'in' ? 4 : 3;
  const text = { color: colours.ink, fontSize: 13 };
  const one = picture.banks[bank];
  const pistons = one?.pistons ?? [];
  const at = (value: number | null, place: number): Point[] => (value === null ? [] : [[place, fromSi(value, unit)]]);
  const places = (pick: (piston: (typeof pistons)[number]) => number | null, aside: number): Point[] => pistons.flatMap((piston, i) => at(pick(piston), i + aside));
  const dots = (name: string, data: Point[], symbol: string, colour: string): object[] =>
    data.length === 0 ? [] : [{ type: 'scatter', name, data, symbol, symbolSize: 11, itemStyle: { color: colour } }];
  const line = one?.line ? [{ type: 'line', name: 'line of the bank', data: [[0, fromSi(one.line[0], unit)], [pistons.length - 1, fromSi(one.line[1], unit)]], showSymbol: false, lineStyle: { color: colours.soft, width: 2, type: [6, 4] } }] : [];
  const computed = picture.computed === null ? [] : [{
    type: 'line', name: 'from the parts', data: [], markLine: { symbol: 'none', animation: false, silent: true, lineStyle: { color: colours.exhaust, type: 'dotted', width: 2 }, label: { color: colours.ink, fontSize: 12, formatter: 'from the parts', position: 'insideEndTop' }, data: [{ yAxis: fromSi(picture.computed, unit) }] },
  }];
  return {
    animation: false, grid: { left: 8, right: 18, top: 30, bottom: 30, containLabel: true }, textStyle: { fontFamily: 'inherit' },
    xAxis: {
      type: 'value', min: -0.5, max: Math.max(0, pistons.length - 1) + 0.5, interval: 0.5, name: 'cylinder, front to rear', nameLocation: 'middle', nameGap: 30, nameTextStyle: text,
      splitLine: { show: false }, axisTick: { show: false }, axisLine: { onZero: false }, axisLabel: { ...text, formatter: (value: number) => (Number.isInteger(value) ? String(pistons[value]?.cylinder ?? '') : '') },
    },
    // Down is down: a piston that stands lower is drawn lower.
    yAxis: { type: 'value', inverse: true, scale: true, name: `below the deck, ${unit}`, nameTextStyle: { ...text, align: 'left' }, nameLocation: 'start', axisLine: { onZero: false }, axisLabel: { ...text, formatter: (value: number) => showNumber(value, decimals - 1) }, splitLine: { lineStyle: { color: colours.line } } },
    tooltip: {
      trigger: 'item', renderMode: 'richText', confine: true, backgroundColor: colours.card, borderColor: colours.soft, textStyle: text,
      formatter: ({ seriesName, value }: { seriesName: string; value: Point }) => `${seriesName}: ${showNumber(value[1], decimals)} ${unit}`,
    },
    dataZoom: [{ type: 'inside', xAxisIndex: 0, zoomOnMouseWheel: 'ctrl', moveOnMouseWheel: false }],
    series: [
      ...line,
      ...dots('over the pin', places(({ below }) => below, 0), 'circle', colours.intake),
      ...dots('inboard edge', places(({ inboard }) => inboard, -0.2), 'triangle', colours.exhaust),
      ...dots('outboard edge', places(({ outboard }) => outboard, 0.2), 'diamond', colours.exhaust),
      ...computed,
    ],
  };
}

/** The path that the tip of an order's force goes over a turn of it: an ellipse of two vectors that turn against each other. */
export function ellipse(forward: Phasor, backward: Phasor, steps = 72): Point[] {
  return Array.from({ length: steps + 1 }, (_, i) => {
    const turn = (2 * Math.PI * i) / steps;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    return [
      forward[0] * c - forward[1] * s + backward[0] * c + backward[1] * s,
      forward[0] * s + forward[1] * c - backward[0] * s + backward[1] * c,
    ];
  });
}

export const size = ([re, im]: Phasor): number => Math.hypot(re, im);

/** Greatest of any order, so that all are drawn to one scale. */
export function greatest(picture: BalancePicture, of: 'force' | 'moment'): number {
  const pairs = picture.orders.map((one): (Phasor | null)[] => (of === 'force' ? [one.forward, one.backward] : [one.moment_forward, one.moment_backward]));
  return Math.max(0, ...pairs.map((pair) => pair.reduce((sum, one) => sum + (one ? size(one) : 0), 0)));
}
