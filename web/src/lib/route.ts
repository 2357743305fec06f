/** Addresses of the page, behind the hash so that a folder of static files serves them all. */
export type Route =
  | { page: 'engines' }
  | { page: 'new'; how: 'layout' | 'file' | 'copy' }
  | { page: 'overview' | 'pull' | 'parts' | 'history'; engine: string }
  | { page: 'what-if'; engine: string; choice?: string }
  | { page: 'station' | 'bench'; engine: string; station: string };

export function parseRoute(hash: string): Route {
  const [first, second, third, fourth] = hash.replace(/^#\/?/, '').split('/').map((part) => decodeURIComponent(part));
  if (first === 'new') return { page: 'new', how: second === 'file' || second === 'copy' ? second : 'layout' };
  if (first !== 'engine' || !second) return { page: 'engines' };
  if ((third === 'station' || third === 'bench') && fourth) return { page: third, engine: second, station: fourth };
  if (third === 'what-if') return { page: third, engine: second, ...(fourth ? { choice: fourth } : {}) };
  return { page: third === 'parts' || third === 'history' || third === 'pull' ? third : 'overview', engine: second };
}

export function addressOf(route: Route): string {
  switch (route.page) {
    case 'engines':
      return '#/';
    case 'new':
      return `#/new/${route.how}`;
    case 'station':
    case 'bench':
      return `#/engine/${encodeURIComponent(route.engine)}/${route.page}/${encodeURIComponent(route.station)}`;
    case 'what-if':
      return `#/engine/${encodeURIComponent(route.engine)}/what-if${route.choice ? `/${encodeURIComponent(route.choice)}` : ''}`;
    default:
      return `#/engine/${encodeURIComponent(route.engine)}/${route.page}`;
  }
}
