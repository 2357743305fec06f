/** From the report's curves to what the chart shows: crank degrees against lift in the person's unit. */
import type { CardCurve, LobeCurve } from '../types/api.ts';
import { showNumber, type LengthUnit } from './doubt.ts';
import { liftText } from './events.ts';

export interface Colours {
  ink: string;
  soft: string;
  line: string;
  card: string;
  intake: string;
  exhaust: string;
  /** Of curves side by side. */
  series?: readonly string[];
}

const degrees = (rad: number): number => (rad * 180) / Math.PI;
const scale = (length: LengthUnit): number => (length === 'in' ? 1 / 0.0254 : 1000);

export function linePoints(crank: readonly number[], lift: readonly number[], length: LengthUnit): [number, number][] {
  return crank.map((rad, i) => [degrees(rad), (lift[i] ?? 0) * scale(length)]);
}

/** The option of the chart (data, not drawing): lines of both lobes, the readings as points, the card thin. */
export function liftOption(lobes: readonly LobeCurve[], card: readonly CardCurve[], length: LengthUnit, colours: Colours): Record<string, unknown> {
  const decimals = length === 'in' ? 4 : 3;
  const lines = lobes.map((lobe) => ({
    type: 'line', name: `${lobe.valve}, fitted`, data: linePoints(lobe.crank, lobe.lift, length), showSymbol: false,
    lineStyle: { width: 2.5, color: colours[lobe.valve], type: lobe.valve === 'intake' ? 'solid' : [9, 3] }, itemStyle: { color: colours[lobe.valve] },
    markPoint: {
      symbol: 'diamond', symbolSize: 10, animation: false, itemStyle: { color: colours.card, borderColor: colours[lobe.valve], borderWidth: 2 }, label: { show: false },
      data: lobe.events.flatMap((event) => [event.opening, event.closing].filter((crank) => crank !== null).map((crank) => ({ coord: [degrees(crank), event.at * scale(length)], name: liftText(event.at, length) }))),
    },
    markLine: {
      symbol: 'none', animation: false, silent: true, lineStyle: { color: colours[lobe.valve], type: 'dotted' },
      label: { formatter: `${showNumber(degrees(lobe.top?.crank ?? 0), 1)}`, color: colours.ink, fontSize: 12 },
      data: lobe.top?.crank == null ? [] : [{ xAxis: degrees(lobe.top.crank) }],
    },
  }));
  const readings = lobes.map((lobe) => ({
    type: 'scatter', name: `${lobe.valve}, read`, data: lobe.points.map(([crank, lift]) => [degrees(crank), lift * scale(length)]), symbolSize: 7,
    symbol: lobe.valve === 'intake' ? 'circle' : 'rect', itemStyle: { color: 'transparent', borderColor: colours[lobe.valve], borderWidth: 1.8 },
  }));
  const cards = card.map((one) => ({
    type: 'line', name: `${one.valve}, card${one.synthesised ? ' (made from its events)' : ''}`, data: linePoints(one.crank, one.lift, length), showSymbol: false,
    lineStyle: { width: 1.2, color: colours.soft, type: [3, 3] }, itemStyle: { color: colours.soft },
  }));
  const seen = [...[...lobes, ...card].flatMap((one) => one.crank), ...lobes.flatMap((one) => one.points.map(([crank]) => crank))].map(degrees);
  // Single readings without a card have no curve; without any reading the axis is one cycle.
  const cranks = seen.length > 0 ? seen : [-360, 360];
  const edge = (round: (value: number) => number, value: number): number => round(value / 180) * 180;
  const text = { color: colours.ink, fontSize: 13 };
  return {
    animation: false,
    grid: { left: 8, right: 14, top: 26, bottom: 28, containLabel: true },
    textStyle: { fontFamily: 'inherit' },
    xAxis: {
      type: 'value', name: 'crank, deg', nameLocation: 'middle', nameGap: 30, nameTextStyle: text, interval: 180, min: edge(Math.floor, Math.min(...cranks)), max: edge(Math.ceil, Math.max(...cranks)),
      axisLabel: { ...text, formatter: (value: number) => showNumber(value, 0), hideOverlap: true }, splitLine: { lineStyle: { color: colours.line } },
    },
    yAxis: { type: 'value', name: `lift, ${length}`, nameTextStyle: { ...text, align: 'left' }, axisLine: { onZero: false }, axisLabel: text, splitLine: { lineStyle: { color: colours.line } } },
    tooltip: {
      trigger: 'axis', renderMode: 'richText', confine: true, axisPointer: { type: 'cross', label: { formatter: ({ value }: { value: number }) => value.toFixed(length === 'in' ? 3 : 2) } },
      backgroundColor: colours.card, borderColor: colours.soft, textStyle: text,
      formatter: (items: { seriesName: string; value: [number, number] }[]) =>
        items.slice(0, 6).map((item) => `${item.seriesName}: ${showNumber(item.value[1], decimals)} ${length} at ${showNumber(item.value[0], 1)}`).join('\n'),
    },
    dataZoom: [{ type: 'inside', xAxisIndex: 0, zoomOnMouseWheel: 'ctrl', moveOnMouseWheel: false }],
    series: [...cards, ...lines, ...readings],
  };
}
