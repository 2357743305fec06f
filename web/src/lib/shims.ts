/** Which shim goes where, in words. */
import type { ShimPlace, ShimPlan } from '../types/api.ts';

/** Those that change first, by cylinder, and then those that stay. */
export const inOrder = (plan: ShimPlan): ShimPlace[] => [...plan.places].sort((a, b) => Number(a.from === 'stays') - Number(b.from === 'stays') || a.cylinder - b.cylinder);

export function fromText(place: ShimPlace): string {
  switch (place.from) {
    case 'stays':
      return 'stays';
    case 'other_valve':
      return `from ${place.from_valve ?? ''} ${place.from_cylinder ?? ''}`;
    case 'shelf':
      return 'off the shelf';
    case 'bought':
      return 'to be bought';
    case 'nowhere':
      return 'none to be had';
  }
}

const shims = (count: number): string => (count === 1 ? '1 shim' : `${count} shims`);

/** What the whole plan asks of the builder. */
export function planText(plan: ShimPlan): string {
  if (plan.moved + plan.bought + plan.unserved === 0) return 'Every shim stays where it is.';
  const done = `${shims(plan.moved)} at hand to move, ${plan.bought === 0 ? 'none' : plan.bought} to buy.`;
  const rest = plan.unserved === 0 ? '' : ` ${plan.unserved} left without: no shim at hand or in the sizes to be had fits.`;
  return done + rest;
}
