/** Geometry of the round pictures. Screen angles in degrees, 0 at the top, growing clockwise; y downward. */
import { wrap180 } from './quantity.ts';

const degree = Math.PI / 180;

export interface Place {
  x: number;
  y: number;
}

export const placeAt = (angle: number, radius: number): Place => ({ x: radius * Math.sin(angle * degree), y: -radius * Math.cos(angle * degree) });

const text = ({ x, y }: Place): string => `${round(x)} ${round(y)}`;
const round = (value: number): number => Math.round(value * 1000) / 1000;

/** An arc from one angle clockwise to the other, as an SVG path. A whole turn or more is drawn as a ring. */
export function arcPath(from: number, to: number, radius: number): string {
  const sweep = to - from;
  if (sweep >= 360) {
    return `${arcPath(from, from + 180, radius)}${arcPath(from + 180, from + 359.999, radius)}`;
  }
  return `M${text(placeAt(from, radius))}A${radius} ${radius} 0 ${sweep > 180 ? 1 : 0} 1 ${text(placeAt(to, radius))}`;
}

export function wedgePath(from: number, to: number, radius: number): string {
  return `M0 0L${text(placeAt(from, radius))}A${radius} ${radius} 0 ${to - from > 180 ? 1 : 0} 1 ${text(placeAt(to, radius))}Z`;
}

/**
 * Which way the numbers run round a wheel, seen from the wheel end: +1 clockwise, -1 against. A wheel that turns
 * clockwise and counts up brings to the pointer what stands against the clock from it.
 */
export function numbersRun(turning: 'clockwise' | 'counterclockwise', counts: 'forward' | 'backward'): 1 | -1 {
  return (turning === 'clockwise') === (counts === 'forward') ? -1 : 1;
}

/** Where a wheel reading stands on the screen when the reading `atTop` is under the pointer at the top. */
export const onWheel = (reading: number, atTop: number, run: 1 | -1): number => wrap180((reading - atTop) * run);

export interface Pair {
  middle: number;
  span: number;
}

/** The n-th forward contact with the n-th backward one of the same cylinder: middle near `near`, and span. */
export function pairsOf(contacts: readonly { wheel: number; turning: string; cylinder: number }[], near: number): Pair[] {
  const pairs: Pair[] = [];
  for (const cylinder of new Set(contacts.map((one) => one.cylinder))) {
    const side = (turning: string): number[] =>
      contacts.filter((one) => one.cylinder === cylinder && one.turning === turning).map((one) => wrap180(one.wheel - near));
    const [forward, backward] = [side('forward'), side('backward')];
    forward.slice(0, backward.length).forEach((a, i) => {
      const b = backward[i] ?? a;
      pairs.push({ middle: near + (a + b) / 2, span: Math.abs(b - a) });
    });
  }
  return pairs;
}
