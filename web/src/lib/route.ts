/** Addresses of the page, behind the hash so that a folder of static files serves them all. */
export type Route =
  | { page: 'engines' }
  | { page: 'new'; how: 'layout' | 'file' | 'copy' }
  | { page: 'overview' | 'parts' | 'history'; engine: string }
  | { page: 'station'; engine: string; station: string };

export function parseRoute(hash: string): Route {
  const [first, second, third, fourth] = hash.replace(/^#\/?/, '').split('/').map((part) => decodeURIComponent(part));
  if (first === 'new') return { page: 'new', how: second === 'file' || second === 'copy' ? second : 'layout' };
  if (first !== 'engine' || !second) return { page: 'engines' };
  if (third === 'station' && fourth) return { page: 'station', engine: second, station: fourth };
  return { page: third === 'parts' || third === 'history' ? third : 'overview', engine: second };
}

export function addressOf(route: Route): string {
  switch (route.page) {
    case 'engines':
      return '#/';
    case 'new':
      return `#/new/${route.how}`;
    case 'station':
      return `#/engine/${encodeURIComponent(route.engine)}/station/${encodeURIComponent(route.station)}`;
    default:
      return `#/engine/${encodeURIComponent(route.engine)}/${route.page}`;
  }
}
