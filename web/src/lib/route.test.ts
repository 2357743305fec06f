import { expect, test } from 'vitest';
import { addressOf, parseRoute, type Route } from './route.ts';

test.each<Route>([
  { page: 'engines' },
  { page: 'new', how: 'file' },
  { page: 'overview', engine: 'e 1/x' },
  { page: 'history', engine: 'e1' },
  { page: 'station', engine: 'e1', station: 'tdc' },
])('an address leads back to its page', (route) => {
  expect(parseRoute(addressOf(route))).toEqual(route);
});

test('an unknown address is the list of engines', () => {
  expect(parseRoute('#/nowhere')).toEqual({ page: 'engines' });
  expect(parseRoute('')).toEqual({ page: 'engines' });
});
