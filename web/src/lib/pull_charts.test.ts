import { expect, test } from 'vitest';
import type { FullPull, SpeedPoint, Trace } from '../types/pull.ts';
import { beyondRoom, camTorqueOption, camWindow, figureCharts, figureOption, portOption, powerOption, pressureOption, soFarOption, spreadOf, torqueOption, torquePowerOption, volumeOption } from './pull_charts.ts';

const rpm = Math.PI / 30;
const degree = Math.PI / 180;
const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00', series: ['#1', '#2', '#3', '#4', '#5', '#6', '#7', '#8', '#9'] };
const point = (speed: number, torque: number): SpeedPoint => ({
  speed: speed * rpm, converged: true, alternates: false, why: '', brake_torque: torque, friction_torque: 40, brake_power: torque * speed * rpm, torque_sae: torque * 1.1, torque_iso: torque,
  bmep: 1e6, imep: 1.1e6, pmep: -3e4, fmep: 1e5, volumetric_efficiency: 0.9, residual: 0.05, fuel_consumption: null, exhaust_temperature: 1100, peak_pressure: 6e6, advance: 20 * degree, knock_integral: 0.8,
  knock_advance: 26 * degree, spark_held_back: false,
});
const result = (torques: number[]): NonNullable<FullPull['results']>[number] => ({ points: torques.map((torque, i) => point(2000 + 1000 * i, torque)), doubts: [], assumptions: [], cautions: [], displacement: 0.005, compression_ratio: 9, sae_factor: 1.1, iso_factor: 1 });
const order = (cams: number[]): FullPull['order'] => ({
  from: 2000 * rpm, to: 4000 * rpm, step: 1000 * rpm, air: { pressure: 99000, vapour_pressure: 0, temperature: 298 }, doubts: false, trace_cylinder: 1,
  variants: cams.map((cam) => ({ title: `cam ${cam}`, cam: cam * degree, operations: [] })),
});
interface Series { name: string; type: string; data: [number, number | null][]; yAxisIndex?: number; markArea?: { data: { xAxis: number }[][] } }
const seriesOf = (option: Record<string, unknown>): Series[] => option['series'] as Series[];

test('torque stands on the left scale, power on the right, in the person\u2019s units', () => {
  const curves = { order: order([0]), results: [result([400, 500, 450])] };
  const [torque, power] = seriesOf(torquePowerOption(curves, 'run', 'mm', colours));
  expect(torque?.name).toBe('torque');
  expect(torque?.data.map(([x]) => Math.round(x))).toEqual([2000, 3000, 4000]);
  expect(torque?.data.map(([, y]) => y)).toEqual([400, 500, 450]);
  expect(power?.yAxisIndex).toBe(1);
  expect(power?.data[1]?.[1]).toBeCloseTo(500 * 3000 * rpm / 1000, 9);
  expect(seriesOf(torqueOption(curves, 'sae', 'mm', colours))[0]?.data[0]?.[1]).toBeCloseTo(440, 9);
  expect(seriesOf(powerOption(curves, 'sae', 'mm', colours))[0]?.data[0]?.[1]).toBeCloseTo(440 * 2000 * rpm / 1000, 9);
});

test('the band of the readings is drawn only where there is one', () => {
  const doubtful = { ...result([400, 500, 450]), doubts: [{ source: 's', finding: 'f', u: 0.01, at: [2, 3, 4].map((torque_u) => ({ speed: 0, per_unit: 1, torque_u })) }] };
  const of = (results: FullPull['results']): Series[] => seriesOf(torqueOption({ order: order([0]), results }, 'run', 'mm', colours));
  expect(of([result([400, 500, 450])]).some(({ type }) => type === 'custom')).toBe(false);
  const band = of([doubtful])[0] as unknown as { renderItem: (a: unknown, api: { coord: (p: number[]) => number[] }) => { shape: { points: number[][] } } };
  const { points } = band.renderItem(undefined, { coord: (p) => p }).shape;
  expect(points.map(([, y]) => y)).toEqual([404, 506, 458, 442, 494, 396]);
});

test('the first and the last speed lie within the axis', () => {
  const curves = { order: order([0]), results: [result([400, 500, 450])] };
  const option = torqueOption(curves, 'run', 'mm', colours);
  const { min, max } = option['xAxis'] as { min: number; max: number };
  for (const [x] of seriesOf(option)[0]?.data ?? []) expect(x >= min && x <= max).toBe(true);
  expect([min, max]).toEqual([2000, 4000]);
});

test('curves side by side are named by their variant; what is not there is a gap', () => {
  const curves = { order: order([0, 4]), results: [result([400, 500]), result([410, 480])] };
  const fuel = figureCharts.find(({ title }) => title === 'Fuel by brake work');
  if (!fuel) throw new Error('no such chart');
  const series = seriesOf(figureOption(fuel, curves, 'in', colours));
  expect(series.map(({ name }) => name)).toEqual(['cam 0, BSFC', 'cam 4, BSFC']);
  expect(series[0]?.data[0]?.[1]).toBeNull();
});

test('torque against the cam is drawn for some speeds, in the order of the cam, with the room left', () => {
  const curves = { order: order([4, -4, 0]), results: [result([410, 500, 430]), result([390, 490, 460]), result([400, 500, 450])] };
  const series = seriesOf(camTorqueOption(curves, { most_retard: -3 * degree, most_advance: null }, 'run', 'mm', colours));
  const slow = series.find(({ name }) => name === '2000 rpm');
  expect(slow?.data.map(([x, y]) => [Math.round(x), y])).toEqual([[-4, 390], [0, 400], [4, 410]]);
  const room = series.find(({ name }) => name === 'allowed')?.markArea?.data[0];
  expect(room?.[0]?.xAxis).toBeCloseTo(-3, 9);
  expect(room?.[1]?.xAxis).toBe(5);
  expect(seriesOf(camTorqueOption(curves, 'none', 'run', 'mm', colours)).some(({ name }) => name === 'allowed')).toBe(false);
});

test('the room is what every valve with a limit leaves', () => {
  const valve = (limit: number | null, from: number, to: number) => ({ cylinder: 1, valve: 'intake' as const, curve: { crank: [], clearance: [] }, against_cam: { advance: [], clearance: [] }, limit, window: limit === null ? null : { most_retard: from, most_advance: to, holds_now: true } });
  expect(camWindow(undefined)).toBeUndefined();
  expect(camWindow({ valves: [valve(null, 0, 0)] })).toBeUndefined();
  expect(camWindow({ valves: [valve(0.002, -0.2, 0.1), valve(0.002, -0.05, 0.3)] })).toEqual({ most_retard: -0.05, most_advance: 0.1 });
  expect(camWindow({ valves: [valve(0.002, 0.2, 0.3), valve(0.002, -0.3, -0.2)] })).toBe('none');
});

test('a cam beyond the room is told', () => {
  const window = { most_retard: -3 * degree, most_advance: 5 * degree };
  expect([-4, -3, 0, 5, 6].map((cam) => beyondRoom(cam * degree, window))).toEqual([true, false, false, false, true]);
  expect(beyondRoom(99, { most_retard: -1, most_advance: null })).toBe(false);
  expect(beyondRoom(0, 'none')).toBe(true);
  expect(beyondRoom(0, undefined)).toBe(false);
});

test('speeds are spread over those run', () => {
  expect(spreadOf(3, 6)).toEqual([0, 1, 2]);
  expect(spreadOf(21, 6)).toEqual([0, 4, 8, 12, 16, 20]);
});

test('while it runs, points stand in the order of speed', () => {
  const so_far = [{ variant: 0, speed: 4000 * rpm, brake_torque: 450 }, { variant: 0, speed: 2000 * rpm, brake_torque: 400 }];
  expect(seriesOf(soFarOption({ order: order([0]), so_far }, 'mm', colours))[0]?.data.map(([x]) => Math.round(x))).toEqual([2000, 4000]);
});

test('traces: a closed loop of volumes, the cycle from overlap TDC, ports with overlap in the middle', () => {
  const angle = [0, 90, 350, 370, 540, 719].map((one) => one * degree);
  const zero = angle.map(() => 0);
  const trace: Trace = { angle, volume: angle.map(() => 1e-4), pressure: angle.map((_, i) => 1e5 * (i + 1)), temperature: zero, intake_pressure: angle.map(() => 1e5), exhaust_pressure: zero, intake_lift: angle.map(() => 0.01), exhaust_lift: zero };
  const loop = seriesOf(volumeOption(trace, 'mm', colours))[0];
  expect(loop?.data.length).toBe(7);
  expect(loop?.data[6]).toEqual(loop?.data[0]);
  expect(seriesOf(pressureOption(trace, 'mm', colours))[1]?.data[1]?.[1]).toBeCloseTo(200, 9);
  const ports = seriesOf(portOption(trace, 'mm', colours));
  expect(ports.find(({ name }) => name === 'intake port')?.data.map(([x]) => Math.round(x))).toEqual([-350, -180, -1, 0, 90, 350]);
  expect(ports.find(({ name }) => name === 'intake lift')?.yAxisIndex).toBe(1);
});
