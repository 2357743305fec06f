/** The ledger's list and the stations' descriptions, and whether the bench computer can be heard. */
import { listEngines, listen, readStations } from '../api.ts';
import { described } from '../lib/entry.ts';
import type { EngineRow, LiveEvent, StationDescription } from '../types/api.ts';
import type { PullNews } from '../types/pull.ts';

const kept = 'fettle.stations';

class Shop {
  engines = $state.raw<EngineRow[] | undefined>(undefined);
  stations = $state.raw<StationDescription[]>([]);
  problem = $state<string | undefined>(undefined);
  /** Whether the live line is open. */
  heard = $state(false);
  private readonly hooks = new Set<(event: LiveEvent | undefined) => void>();
  private readonly pullHooks = new Set<(news: PullNews) => void>();

  start(): void {
    try {
      this.stations = JSON.parse(localStorage.getItem(kept) ?? '[]') as StationDescription[];
    } catch {
      this.stations = [];
    }
    void this.readStations();
    listen(
      (event) => {
        this.hooks.forEach((hook) => hook(event));
        if (this.engines) void this.refresh();
      },
      (news) => this.pullHooks.forEach((hook) => hook(news)),
      (open) => {
        const back = open && !this.heard;
        this.heard = open;
        if (back) this.hooks.forEach((hook) => hook(undefined));
      },
    );
  }

  /** Calls back on each change of the ledger, and with nothing when the line is open again. */
  onLive(hook: (event: LiveEvent | undefined) => void): () => void {
    this.hooks.add(hook);
    return () => this.hooks.delete(hook);
  }

  /** Calls back on each point of a pull and each change of its state. */
  onPull(hook: (news: PullNews) => void): () => void {
    this.pullHooks.add(hook);
    return () => this.pullHooks.delete(hook);
  }

  async readStations(): Promise<void> {
    try {
      this.stations = (await readStations()).map((station) => ({ ...station, readings: station.readings.map(described) }));
      localStorage.setItem(kept, JSON.stringify(this.stations));
    } catch {
      if (this.stations.length === 0) setTimeout(() => void this.readStations(), 2000);
    }
  }

  async refresh(): Promise<void> {
    try {
      this.engines = await listEngines();
      this.problem = undefined;
    } catch (error) {
      this.problem = (error as Error).message;
    }
  }
}

export const shop = new Shop();
