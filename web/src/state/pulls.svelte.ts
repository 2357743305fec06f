/** The pulls of one engine that the bench computer still holds, and the one that is looked at. */
import { ApiError, cancelPull, listPulls, readPull, startPull } from '../api.ts';
import { withNews } from '../lib/pull.ts';
import type { Problem } from '../types/api.ts';
import type { FullPull, PullNews, PullRequest, Pulls, PullStanding } from '../types/pull.ts';
import { writer } from './prefs.svelte.ts';
import { shop } from './shop.svelte.ts';

export const hasEnded = ({ state }: Pick<PullStanding, 'state'>): boolean => state !== 'waiting' && state !== 'running';

export class PullBench {
  known = $state.raw<Pulls | undefined>(undefined);
  /** The one last started, or at work: how it goes on. */
  shown = $state.raw<FullPull | undefined>(undefined);
  /** The one whose result is looked at: it stays in sight while the next one runs. */
  result = $state.raw<FullPull | undefined>(undefined);
  /** What is wrong with what was asked. */
  says = $state('');
  /** That the bench computer could not be reached for the list. */
  away = $state('');
  problems = $state.raw<readonly Problem[]>([]);
  starting = $state(false);
  /** Whether what is held has been fetched once. */
  loaded = $state(false);
  /** When the one looked at began to run, by this screen's clock; nothing while it waits. */
  began = $state<number | undefined>(undefined);

  constructor(readonly engine: string) {}

  /** Listens until the function given back is called. */
  attach(): () => void {
    void this.refresh();
    const forget = [shop.onPull((news) => this.hear(news)), shop.onLive((event) => { if (event === undefined) void this.refresh(); })];
    return () => forget.forEach((one) => one());
  }

  async refresh(): Promise<void> {
    try {
      const first = this.known === undefined;
      this.known = await listPulls(this.engine);
      const held = this.known.pulls;
      const look = this.shown ?? (first ? (held.find((one) => !hasEnded(one)) ?? held[0]) : undefined);
      if (look) await this.look(look.id);
      if (first && this.result === undefined) {
        const done = held.find(({ state }) => state === 'done');
        if (done) await this.choose(done.id);
      }
      this.away = '';
    } catch (error) {
      this.away = (error as Error).message;
    }
    this.loaded = true;
  }

  async look(id: string): Promise<void> {
    try {
      const pull = await readPull(id);
      this.shown = pull;
      this.began = pull.state === 'running' ? Date.now() - 1000 * pull.seconds : undefined;
      if (pull.results) this.result = pull;
      this.note(pull);
    } catch (error) {
      if (error instanceof ApiError && error.status === 404) this.shown = undefined;
      else this.says = (error as Error).message;
    }
  }

  /** Shows the result of another one that is still held. */
  async choose(id: string): Promise<void> {
    try {
      const pull = await readPull(id);
      if (pull.results) this.result = pull;
    } catch (error) {
      this.says = (error as Error).message;
    }
  }

  async start(request: PullRequest): Promise<void> {
    this.starting = true;
    this.says = '';
    this.problems = [];
    try {
      const standing = await startPull(this.engine, request, writer());
      if (this.known) this.known = { ...this.known, pulls: [standing, ...this.known.pulls.filter(({ id }) => id !== standing.id)] };
      await this.look(standing.id);
    } catch (error) {
      this.says = (error as Error).message;
      this.problems = error instanceof ApiError ? error.problems : [];
    }
    this.starting = false;
  }

  async cancel(id: string): Promise<void> {
    try {
      this.note(await cancelPull(id));
    } catch (error) {
      this.says = (error as Error).message;
    }
  }

  private hear(news: PullNews): void {
    if (news.engine !== this.engine) return;
    const { shown } = this;
    if (!this.known?.pulls.some(({ id }) => id === news.pull) || (hasEnded(news) && shown?.id !== news.pull)) {
      void this.refresh();
      return;
    }
    if (shown?.id !== news.pull) return;
    if (hasEnded(news)) {
      void this.look(news.pull);
      return;
    }
    if (news.state === 'running') this.began ??= Date.now();
    this.shown = { ...shown, ...withNews(shown, news) };
    this.note(this.shown);
  }

  private note(pull: PullStanding): void {
    if (this.known) this.known = { ...this.known, pulls: this.known.pulls.map((one) => (one.id === pull.id ? { ...one, state: pull.state, done: pull.done, total: pull.total } : one)) };
  }
}
