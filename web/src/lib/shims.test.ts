import { describe, expect, it } from 'vitest';
import type { ShimPlace, ShimPlan } from '../types/api.ts';
import { fromText, inOrder, planText } from './shims.ts';

const place = (cylinder: number, from: ShimPlace['from'], more: Partial<ShimPlace> = {}): ShimPlace => ({
  cylinder, valve: 'intake', gap: 2e-4, wanted: 2e-4, now: 2.6e-3, next: 2.6e-3, gap_after: 2e-4, from, ...more,
});
const plan = (places: ShimPlace[], more: Partial<ShimPlan> = {}): ShimPlan => ({ places, proved: true, moved: 0, bought: 0, unserved: 0, ...more });

describe('which shim goes where', () => {
  it('puts those that change first', () => {
    expect(inOrder(plan([place(1, 'stays'), place(3, 'bought'), place(2, 'shelf')])).map(({ cylinder }) => cylinder)).toEqual([2, 3, 1]);
  });
  it('says where each comes from', () => {
    expect(fromText(place(1, 'other_valve', { from_valve: 'exhaust', from_cylinder: 3 }))).toBe('from exhaust 3');
    expect(fromText(place(1, 'nowhere'))).toBe('none to be had');
  });
  it('says what the plan asks', () => {
    expect(planText(plan([place(1, 'stays')]))).toBe('Every shim stays where it is.');
    expect(planText(plan([], { moved: 2 }))).toBe('2 shims at hand to move, none to buy.');
    expect(planText(plan([], { moved: 1, bought: 1, unserved: 1 }))).toContain('1 left without');
  });
});
