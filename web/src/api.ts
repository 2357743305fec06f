/** All talk with the server: docs/api.md. Nothing else in the page makes a request. */
import type {
  Changed, Clash, Counsel, Drawn, EngineRow, EngineState, HistoryEntry, LiveEvent, Moved, Operation, Problem, StationDescription, Tried,
} from './types/api.ts';
import type { Build } from './types/build.ts';
import type { FullPull, PullNews, PullRequest, Pulls, PullStanding, PullTrace } from './types/pull.ts';

/** The server's answer was not the one asked for. Status 0: no answer came. */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    message: string,
    readonly problems: Problem[] = [],
    readonly conflicts: Clash[] = [],
    readonly version: number | undefined = undefined,
  ) {
    super(message);
  }

  /** Sending the same again later may well succeed. */
  get passing(): boolean {
    return this.status === 0 || this.status === 429 || this.status >= 500;
  }
}

interface ErrorBody {
  error?: { says?: string; problems?: Problem[] };
  conflicts?: Clash[];
  version?: number;
}

async function request<T>(method: 'GET' | 'POST', path: string, body?: unknown): Promise<T> {
  let response: Response;
  try {
    response = await fetch(`api${path}`, {
      method,
      credentials: 'same-origin',
      ...(body === undefined ? {} : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) }),
      signal: AbortSignal.timeout(20_000),
    });
  } catch {
    throw new ApiError(0, 'The bench computer does not answer.');
  }
  const answer: unknown = await response.json().catch(() => undefined);
  if (response.ok && answer !== undefined) return answer as T;
  const { error, conflicts, version } = (answer ?? {}) as ErrorBody;
  throw new ApiError(response.status || 500, error?.says ?? `The server answered ${response.status}.`, error?.problems, conflicts, version);
}

export interface Writer {
  by: string;
  device: string;
  change_key: string;
}

const engine = (id: string): string => `/engines/${encodeURIComponent(id)}`;

export const listEngines = async (): Promise<EngineRow[]> => (await request<{ engines: EngineRow[] }>('GET', '/engines')).engines;

export const readEngine = (id: string): Promise<EngineState> => request('GET', engine(id));

/** What one station is drawn from, of the engine's present version. */
export const readPicture = (id: string, station: string): Promise<Drawn> => request('GET', `${engine(id)}/picture?station=${encodeURIComponent(station)}`);

/** Corrections weighed: what would mend what does not hold. */
export const readCounsel = (id: string): Promise<Counsel> => request('GET', `${engine(id)}/counsel`);

/** What differs between the engine as of an entry and as it stands. */
export const compareWith = (id: string, entry: number): Promise<{ version: number; moved: Moved[] }> => request('GET', `${engine(id)}/compare?at=${entry}`);

export const readStations = async (): Promise<StationDescription[]> =>
  (await request<{ stations: StationDescription[] }>('GET', '/stations')).stations;

export const readHistory = async (id: string, before?: number): Promise<HistoryEntry[]> =>
  (await request<{ entries: HistoryEntry[] }>('GET', `${engine(id)}/history?most=50${before === undefined ? '' : `&before=${before}`}`)).entries;

export const createEngine = (document: Build, writer: Writer): Promise<{ id: string; version: number }> =>
  request('POST', '/engines', { document, ...writer });

export const copyEngine = (copyOf: string, name: string, writer: Writer): Promise<{ id: string; version: number }> =>
  request('POST', '/engines', { copy_of: copyOf, name, ...writer });

export const sendChange = (id: string, base: number, operations: readonly Operation[], writer: Writer): Promise<Changed> =>
  request('POST', `${engine(id)}/changes`, { base, operations, ...writer });

/** What operations would do; nothing is kept. */
export const whatIf = (id: string, operations: readonly Operation[]): Promise<Tried> => request('POST', `${engine(id)}/what-if`, { operations });

export const stepHistory = (id: string, way: 'undo' | 'redo', base: number, writer: Writer): Promise<Changed> =>
  request('POST', `${engine(id)}/${way}`, { base, ...writer });

const pull = (id: string): string => `/pulls/${encodeURIComponent(id)}`;
export const listPulls = (id: string): Promise<Pulls> => request('GET', `${engine(id)}/pulls`);
export const startPull = (id: string, order: PullRequest, { by, device }: Writer): Promise<PullStanding> => request('POST', `${engine(id)}/pulls`, { ...order, by, device });
export const readPull = (id: string): Promise<FullPull> => request('GET', pull(id));
export const readTrace = (id: string, variant: number, point: number): Promise<PullTrace> => request('GET', `${pull(id)}/trace?variant=${variant}&point=${point}`);
export const cancelPull = (id: string): Promise<PullStanding> => request('POST', `${pull(id)}/cancel`, {});

export const exportAddress = (id: string): string => `api${engine(id)}/export`;
/** The record that leaves with the engine: a page of its own, to be printed or saved. */
export const recordAddress = (id: string, length: 'in' | 'mm'): string => `api${engine(id)}/record?system=${length === 'mm' ? 'metric' : 'inch'}`;

/** Server-sent events; the browser connects again by itself and asks for what it missed. */
export function listen(onChange: (event: LiveEvent) => void, onPull: (news: PullNews) => void, onState: (open: boolean) => void): () => void {
  const source = new EventSource('api/events');
  source.addEventListener('changed', (message) => onChange(JSON.parse((message as MessageEvent<string>).data) as LiveEvent));
  source.addEventListener('pull', (message) => onPull(JSON.parse((message as MessageEvent<string>).data) as PullNews));
  source.addEventListener('open', () => onState(true));
  source.addEventListener('error', () => onState(false));
  return () => source.close();
}
