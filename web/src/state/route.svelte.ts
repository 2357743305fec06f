import { addressOf, parseRoute, type Route } from '../lib/route.ts';

class Router {
  now = $state<Route>(parseRoute(location.hash));

  constructor() {
    addEventListener('hashchange', () => {
      this.now = parseRoute(location.hash);
      scrollTo(0, 0);
    });
  }

  go(route: Route): void {
    location.hash = addressOf(route);
  }
}

export const router = new Router();
