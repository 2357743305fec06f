import { describe, expect, test } from 'vitest';
import type { SpringCurve, ValveClearance } from '../types/api.ts';
import { between, bothWindow, camRoomOption, clearanceOption, crankText, springOption, windowText } from './topend.ts';

const degree = Math.PI / 180;
const colours = { ink: '#000', soft: '#777', line: '#ccc', card: '#fff', intake: '#00f', exhaust: '#f00' };
type Series = { name: string; type: string; data: [number, number][]; markLine?: { data: { xAxis?: number; yAxis?: number }[] } };
const seriesOf = (option: Record<string, unknown>): Series[] => option['series'] as Series[];

/** A straight spring of 57.5 N/mm: 500 N at 43 mm. */
const spring: SpringCurve = {
  cylinder: 1, valve: 'intake', points: [[0.043, 500]], curve: [[0.045, 385], [0.035, 960], [0.030, 1247.5]], seat_height: 0.043, open_height: 0.0318, solid_height: 0.027, shims: 0,
};

test('a load is read off between the points of a curve that falls in height', () => {
  expect(between(spring.curve, 0.043)).toBeCloseTo(500, 9);
  expect(between(spring.curve, 0.030)).toBeCloseTo(1247.5, 9);
  expect(between(spring.curve, 0.050)).toBeUndefined();
});

test('seat and open height stand on the spring\u2019s line, bind upright, in the person\u2019s units', () => {
  const series = seriesOf(springOption([spring], undefined, 'mm', colours));
  expect(series.map(({ name, type }) => [name, type])).toEqual([
    ['intake 1', 'line'], ['intake 1, read', 'scatter'], ['intake 1, seat', 'scatter'], ['intake 1, open', 'scatter'], ['coil bind', 'line'],
  ]);
  expect(series[2]?.data[0]?.[0]).toBeCloseTo(43, 9);
  expect(series[2]?.data[0]?.[1]).toBeCloseTo(500, 9);
  expect(series[3]?.data[0]?.[1]).toBeCloseTo(960 + 57.5 * 3.2, 6);
  expect(series[4]?.markLine?.data[0]?.xAxis).toBeCloseTo(27, 9);
  expect(seriesOf(springOption([spring], undefined, 'in', colours))[2]?.data[0]?.[1]).toBeCloseTo(500 / 4.4482216152605, 9);
});

test('of a chosen cylinder alone the readings are drawn', () => {
  const names = seriesOf(springOption([spring, { ...spring, cylinder: 2 }], 2, 'mm', colours)).map(({ name }) => name);
  expect(names).toContain('intake 2, seat');
  expect(names).toContain('intake 1');
  expect(names).not.toContain('intake 1, seat');
});

const valve = (which: 'intake' | 'exhaust', window: ValveClearance['window'], limit: number | null = 0.002): ValveClearance => ({
  cylinder: 1, valve: which, limit, window,
  curve: { crank: [-40 * degree, 0, 40 * degree], clearance: [0.02, 0.003, 0.012] }, against_cam: { advance: [-12 * degree, 0, 12 * degree], clearance: [0.005, 0.003, 0.001] },
});

test('clearances are drawn in degrees with the limit across', () => {
  const [one] = seriesOf(clearanceOption([valve('intake', null)], 'mm', colours));
  expect(one?.data[0]?.[0]).toBeCloseTo(-40, 9);
  expect(one?.data[1]?.[1]).toBeCloseTo(3, 9);
  expect(one?.markLine?.data[0]?.yAxis).toBeCloseTo(2, 9);
  const [free] = seriesOf(clearanceOption([valve('intake', null, null)], 'mm', colours));
  expect(free?.markLine?.data).toEqual([]);
});

describe('cam positions allowed', () => {
  const intake = { most_retard: null, most_advance: 6 * degree, holds_now: true };
  const exhaust = { most_retard: -4 * degree, most_advance: null, holds_now: true };
  test('both valves bound the window from their own side', () => {
    expect(bothWindow([valve('intake', intake), valve('exhaust', exhaust)])).toEqual({ most_retard: -4 * degree, most_advance: 6 * degree });
    expect(windowText({ most_retard: -4 * degree, most_advance: 6 * degree })).toBe('4.0 deg retarded to 6.0 deg advanced');
    expect(windowText(intake)).toBe('any retard to 6.0 deg advanced');
  });
  test('nothing is allowed where one valve allows nothing, or they have nothing in common', () => {
    expect(bothWindow([valve('intake', intake), valve('exhaust', null)])).toBeUndefined();
    expect(bothWindow([valve('intake', { ...intake, most_advance: -8 * degree }), valve('exhaust', exhaust)])).toBeUndefined();
  });
  test('a valve without a limit allows everything', () => {
    expect(bothWindow([valve('intake', intake), valve('exhaust', null, null)])).toEqual({ most_retard: null, most_advance: 6 * degree });
  });
  test('the band ends where the search ends', () => {
    const band = seriesOf(camRoomOption([valve('intake', intake)], 'in', colours)).find(({ name }) => name === 'allowed') as unknown as { markArea: { data: { xAxis: number }[][] } };
    expect(band.markArea.data[0]?.[0]?.xAxis).toBeCloseTo(-12, 9);
    expect(band.markArea.data[0]?.[1]?.xAxis).toBeCloseTo(6, 9);
  });
});

test('the crank is said in degrees of one turn, and which of the two', () => {
  expect(crankText(0)).toBe('0 deg');
  expect(crankText(450 * degree)).toBe('90 deg, second turn');
  expect(crankText(719.8 * degree)).toBe('0 deg');
});
