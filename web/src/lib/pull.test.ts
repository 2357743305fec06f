import { expect, test } from 'vitest';
import type { PullResult, SpeedPoint } from '../types/pull.ts';
import { atEnd, camsOffered, camTitle, doubtBand, figureText, orderText, otherAssumptions, parseCams, peakOf, requestOf, secondsLeft, settingProblems, speedsOf, variantOf, withNews, type Settings } from './pull.ts';

const rpm = Math.PI / 30;
const point = (speed: number, torque: number, more: Partial<SpeedPoint> = {}): SpeedPoint => ({
  speed: speed * rpm, converged: true, alternates: false, why: '', brake_torque: torque, friction_torque: 40, brake_power: torque * speed * rpm, torque_sae: torque * 1.02, torque_iso: torque * 1.01,
  bmep: 1e6, imep: 1.1e6, pmep: -3e4, fmep: 1e5, volumetric_efficiency: 0.9, residual: 0.05, fuel_consumption: 8e-8, exhaust_temperature: 1100, peak_pressure: 6e6, advance: 0.4, knock_integral: 0.8,
  knock_advance: 0.5, spark_held_back: false, ...more,
});
const settings: Settings = { from: '1500', to: '6500', step: '250', pressure: '990', temperature: '77 F', doubts: false, dynamic: false, cylinder: 1 };

test('figures are those of NIST SP 811 (2008), appendix B.8', () => {
  // 1 lbf ft = 1.355818 N m; 1 hp (550 ft lbf/s) = 745.6999 W; 1 psi = 6894.757 Pa.
  expect(figureText(1.355818 * 400, 'torque', 'in')).toBe('400');
  expect(figureText(745.6999 * 300, 'power', 'in')).toBe('300');
  expect(figureText(6894.757 * 150, 'pressure', 'in')).toBe('150');
  expect(figureText(400, 'torque', 'mm')).toBe('400');
  expect(figureText(223_700, 'power', 'mm')).toBe('224');
  expect(figureText(773.15, 'temperature', 'mm')).toBe('500');
  expect(figureText(773.15, 'temperature', 'in')).toBe('932');
  expect(figureText(null, 'percent', 'in')).toBe('\u2013');
});

test('fuel by brake work: 0.500 lb/hp h is 304.1 g/kWh', () => {
  // 453.59237 g over 0.7456999 kW h, halved.
  const si = 304.1387e-3 / 3.6e6;
  expect(figureText(si, 'consumption', 'in')).toBe('0.500');
  expect(figureText(si, 'consumption', 'mm')).toBe('304');
});

test('torque and power in lb ft and hp meet at 5252 rpm, as 33000 over two pi has it', () => {
  const speed = 33000 / (2 * Math.PI);
  const torque = 400 * 1.3558179483;
  expect(Number(figureText(torque * speed * rpm, 'power', 'in'))).toBe(400);
});

test('the peak is the greatest that settled, in the standard asked for', () => {
  const points = [point(2000, 400), point(3000, 450), point(4000, 440), point(5000, 999, { converged: false })];
  expect(peakOf(points, 'run')?.torque).toEqual({ si: 450, speed: 3000 * rpm });
  expect(peakOf(points, 'sae')?.torque.si).toBeCloseTo(459, 9);
  expect(peakOf(points, 'run')?.power.speed).toBe(4000 * rpm);
  expect(peakOf([], 'run')).toBeUndefined();
  expect(atEnd(points, 3000 * rpm)).toBe(false);
  expect(atEnd(points, 2000 * rpm)).toBe(true);
});

test('the band is twice the root of the sum of squares, and nothing where nothing was read', () => {
  const doubt = (torque_u: number | null): PullResult['doubts'][number] => ({ source: 's', finding: 'f', u: 0.01, at: [{ speed: 1, per_unit: 1, torque_u }] });
  const points = [point(2000, 400)];
  expect(doubtBand({ points, doubts: [doubt(3), doubt(4)] })).toEqual([10]);
  expect(doubtBand({ points, doubts: [doubt(3), doubt(null)] })).toEqual([6]);
  expect(doubtBand({ points, doubts: [doubt(null)] })).toEqual([undefined]);
});

test('cam positions are typed in any order, and offered as the timing set has them', () => {
  expect(parseCams('4, -4 0;0')).toEqual([-4, 0, 4]);
  expect(parseCams('\u22122.5')).toEqual([-2.5]);
  for (const text of ['', 'four', '4 deg', '61', '1e3']) expect(parseCams(text)).toBeUndefined();
  expect(camsOffered(['-4 deg', '0 deg', '4 deg'], '4 deg')).toEqual([-8, -4, 0]);
  expect(camsOffered(undefined, undefined)).toEqual([-4, 0, 4]);
  expect(camTitle(-2.5)).toBe('Cam 2.5\u00b0 retarded');
  expect(camTitle(4)).toBe('Cam 4\u00b0 advanced');
});

test('a correction that only moves the cam is run as a move of the cam, others as they are', () => {
  const correction = (operations: { path: string; value: string }[]) => ({ id: 'x', station: 'cam', says: 'Do it', operations, effects: [] });
  const moved = variantOf(correction([{ path: '/readings/r3/position', value: '0 deg' }, { path: '/timing_set/fitted', value: '4 deg' }]), '0 deg');
  expect(moved.operations).toEqual([]);
  expect(moved.cam).toBeCloseTo(4, 9);
  const gasket = correction([{ path: '/gasket/thickness', value: '0.030 in' }]);
  expect(variantOf(gasket, '0 deg')).toEqual({ title: 'Do it', cam: 0, operations: gasket.operations });
});

test('settings say what is wrong with them, and become a request', () => {
  expect(speedsOf(settings)).toBe(21);
  expect(settingProblems(settings, 1, 160)).toEqual({});
  expect(settingProblems({ ...settings, to: '1000' }, 1, 160).to).toContain('not below');
  expect(settingProblems({ ...settings, from: 'x', step: '5' }, 1, 160)).toMatchObject({ from: expect.any(String) as string, step: expect.any(String) as string });
  expect(settingProblems(settings, 9, 160).step).toContain('189 points');
  const request = requestOf(settings, [{ title: 'As it is', cam: 0, operations: [] }, { title: 'Later', cam: -4, operations: [] }], 'mm');
  expect(request).toEqual({
    from: '1500 rpm', to: '6500 rpm', step: '250 rpm', air: { pressure: '990 hPa', temperature: '77 F' }, doubts: false, dynamic: false, trace_cylinder: 1,
    variants: [{ title: 'As it is' }, { title: 'Later', cam: '-4 deg' }],
  });
});

test('news add up to what is known, and to the time still to go', () => {
  const order = { from: 1500 * rpm, to: 6500 * rpm, step: 250 * rpm, air: { pressure: 99000, vapour_pressure: 0, temperature: 298 }, doubts: false, trace_cylinder: 1, variants: [{ title: 'As it is', cam: 0, operations: [] }] };
  const standing = { id: 'p', engine: 'e', version: 1, stale: false, by: 'Ada', at: '', state: 'running' as const, done: 0, total: 4, seconds: 0, says: '', order, so_far: [] };
  const next = withNews(standing, { state: 'running', done: 1, total: 4, point: { variant: 0, speed: 100, brake_torque: 400 } });
  expect(next).toMatchObject({ done: 1, so_far: [{ speed: 100 }] });
  expect(secondsLeft(next, 2)).toBe(6);
  expect(secondsLeft(standing, 2)).toBeUndefined();
  expect(orderText(order)).toBe('1500 to 6500 rpm every 250, As it is');
  expect(orderText({ ...order, dynamic: true })).toBe('1500 to 6500 rpm every 250, As it is, valves as run');
});

test('a variant that rests on other assumptions says so', () => {
  const result = (value: string): PullResult => ({ points: [], doubts: [], assumptions: [{ text: 'fuel', value: 'gasoline' }, { text: 'motion', value }], cautions: [], displacement: 0, compression_ratio: 9, sae_factor: 1, iso_factor: 1 });
  expect(otherAssumptions(result('read'), result('the card'))).toEqual(['motion: the card']);
  expect(otherAssumptions(result('read'), result('read'))).toEqual([]);
});
