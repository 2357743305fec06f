import { expect, test } from 'vitest';
import { addressOf, parseRoute, type Route } from './route.ts';

test.each<Route>([
  { page: 'engines' },
  { page: 'new', how: 'file' },
  { page: 'overview', engine: 'e 1/x' },
  { page: 'history', engine: 'e1' },
  { page: 'station', engine: 'e1', station: 'tdc' },
  { page: 'bench', engine: 'e1', station: 'cam' },
  { page: 'what-if', engine: 'e1' },
  { page: 'what-if', engine: 'e1', choice: 'Retard the cam 4.0 deg (crank): fit -4/2' },
])('an address leads back to its page', (route) => {
  expect(parseRoute(addressOf(route))).toEqual(route);
});

test('an unknown address is the list of engines', () => {
  expect(parseRoute('#/nowhere')).toEqual({ page: 'engines' });
  expect(parseRoute('')).toEqual({ page: 'engines' });
});
