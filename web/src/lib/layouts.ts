/** What a new engine starts from. Firing orders are the common ones for the layout (common practice, no source). */
import type { Build } from '../types/build.ts';

export interface Layout {
  id: string;
  title: string;
  layout: string;
  order: number[];
  bank?: string;
  intervals?: string[];
  follower: 'flat' | 'roller' | 'bucket' | 'finger';
  lifters?: 'solid' | 'hydraulic';
  practice: NonNullable<Build['engine']['practice']>;
}

export const layouts: readonly Layout[] = [
  { id: 'v8', title: 'Pushrod V8', layout: 'V8', order: [1, 8, 4, 3, 6, 5, 7, 2], bank: '90 deg', follower: 'flat', lifters: 'hydraulic', practice: 'street_pushrod' },
  { id: 'i6', title: 'Inline six', layout: 'inline 6', order: [1, 5, 3, 6, 2, 4], follower: 'flat', lifters: 'solid', practice: 'vintage_solid' },
  { id: 'i4', title: 'Twin-cam four', layout: 'inline 4', order: [1, 3, 4, 2], follower: 'bucket', practice: 'twin_cam' },
  { id: 'v2', title: 'V-twin', layout: 'V2', order: [1, 2], bank: '45 deg', intervals: ['315 deg', '405 deg'], follower: 'roller', lifters: 'hydraulic', practice: 'street_pushrod' },
  { id: 'other', title: 'Other', layout: '', order: [], follower: 'flat', practice: 'street_pushrod' },
];

/** Cylinders of a layout as typed: "V8", "inline-4", "flat 6", "single", "V-twin". */
export function cylindersOf(layout: string): number | undefined {
  const word = layout.trim().toLowerCase().replace(/-/g, ' ');
  if (word === 'single') return 1;
  const match = /^(inline|flat|v)\s*(twin|\d{1,2})$/.exec(word);
  if (!match) return undefined;
  const count = match[2] === 'twin' ? 2 : Number(match[2]);
  const even = match[1] === 'inline' || count % 2 === 0;
  return count >= 1 && count <= 24 && even ? count : undefined;
}

/** "1-8-4-3" in any of the usual ways of writing it. */
export const parseOrder = (text: string): number[] => (text.match(/\d+/g) ?? []).map(Number);

export function orderProblem(order: readonly number[], cylinders: number | undefined): string | undefined {
  if (cylinders === undefined) return undefined;
  const all = new Set(order);
  const whole = order.length === cylinders && all.size === cylinders && order.every((one) => one >= 1 && one <= cylinders);
  return whole ? undefined : `names every cylinder 1 to ${cylinders} once`;
}

export interface NewEngine {
  name: string;
  layout: Layout;
  layoutText: string;
  bore: string;
  stroke: string;
  rod: string;
  order: number[];
  turning: 'clockwise' | 'counterclockwise';
}

/** A build with the tools most benches have: a wheel read to half a degree and a half-thousandth indicator. */
export function newBuild(form: NewEngine): Build {
  const { layout } = form;
  const same = form.layoutText === layout.layout && form.order.join() === layout.order.join();
  return {
    fettle: 1,
    name: form.name.trim(),
    engine: {
      layout: form.layoutText.trim(),
      firing_order: form.order,
      ...(same && layout.intervals ? { firing_intervals: layout.intervals } : {}),
      ...(form.layoutText === layout.layout && layout.bank ? { bank_angle: layout.bank } : {}),
      turning: form.turning,
      practice: layout.practice,
      bore: form.bore,
      stroke: form.stroke,
      rod_length: form.rod,
    },
    cam: { follower: layout.follower },
    ...(layout.lifters ? { lifters: { kind: layout.lifters } } : {}),
    tools: {
      wheel: { kind: 'degree_wheel', resolution: '0.5 deg', parallax: '0.25 deg' },
      dial: { kind: 'dial_indicator', resolution: '0.0005 in', permissible_error: '0.001 in' },
    },
    readings: [],
  };
}
