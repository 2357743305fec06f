/** Valve events said as cards and wheels say them. Signed crank degrees: 0 at the cylinder's overlap TDC. */
import { showNumber, type LengthUnit } from './doubt.ts';
import type { Valve } from '../types/build.ts';

/** IO = -(BTDC), IC = 180 + (ABDC), EO = -180 - (BBDC), EC = +(ATDC); an opening after TDC is simply positive. */
export function eventText(rad: number, valve: Valve, edge: 'opening' | 'closing'): string {
  const degrees = (rad * 180) / Math.PI;
  const atTdc = (valve === 'intake') === (edge === 'opening');
  const centre = atTdc ? 0 : valve === 'intake' ? 180 : -180;
  const from = Number((degrees - centre).toFixed(1));
  const where = atTdc ? 'TDC' : 'BDC';
  return `${showNumber(Math.abs(from), 1)} ${from < 0 ? 'B' : 'A'}${where}`;
}

export const liftText = (at: number, length: LengthUnit): string =>
  length === 'in' ? `${(at / 0.0254).toFixed(3)} in` : `${(at * 1000).toFixed(2)} mm`;
