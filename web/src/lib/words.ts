/** Places in a build said in words, for history, conflicts and refusals. */
import type { Json, StationDescription } from '../types/api.ts';
import type { Build, Reading } from '../types/build.ts';
import { tokensOf, valueAt } from './pointer.ts';

const plain = (token: string): string => token.replace(/_/g, ' ').replace(/centerline/g, 'centreline');

export function readingTitle(kind: string, stations: readonly StationDescription[]): string {
  for (const station of stations) {
    const found = station.readings.find((one) => one.kind === kind);
    if (found) return found.title;
  }
  return plain(kind);
}

/** "Stop contact, cylinder 1, backward" */
export function readingText(reading: Partial<Reading>, stations: readonly StationDescription[]): string {
  const parts = [readingTitle(reading.kind ?? 'reading', stations)];
  if (reading.cylinder !== undefined) parts.push(`cylinder ${reading.cylinder}`);
  for (const key of ['valve', 'side', 'turning'] as const) {
    const said = reading[key];
    if (said !== undefined && !(key === 'turning' && reading.side !== undefined)) parts.push(said);
  }
  if (reading.fastener !== undefined) parts.push(`${reading.fastener} ${reading.number ?? ''}`.trim());
  for (const key of ['item', 'place', 'stage'] as const) {
    const said = reading[key];
    if (said !== undefined && said !== 'on_axis') parts.push(plain(said));
  }
  return parts.join(', ');
}

/** "Stop contact, cylinder 1, backward: wheel" */
export function pathText(path: string, document: Build | undefined, stations: readonly StationDescription[], holder?: Json): string {
  const [first, second, ...rest] = tokensOf(path);
  if (first === undefined) return 'the whole build';
  if (first !== 'readings' || second === undefined) return [first, second, ...rest].filter((one) => one !== undefined).map(plain).join(', ');
  const found = (document ? valueAt(document as unknown as Json, `/readings/${second}`) : undefined) ?? holder;
  const reading = typeof found === 'object' && found !== null && !Array.isArray(found) ? (found as unknown as Partial<Reading>) : undefined;
  const title = reading ? readingText(reading, stations) : 'a reading';
  return rest.length === 0 ? title : `${title}: ${rest.map(plain).join(', ')}`;
}

/** A value short enough for one line. */
export function valueText(value: Json | undefined): string {
  if (value === undefined || value === null) return 'nothing';
  if (typeof value !== 'object') return String(value);
  if (Array.isArray(value)) {
    return value.length > 6 || value.some((one) => typeof one === 'object') ? `${value.length} entries` : value.map(valueText).join(', ');
  }
  const skip = new Set(['id', 'kind', 'taken', 'by', 'tool', 'lift_tool']);
  const parts = Object.entries(value).filter(([key]) => !skip.has(key)).map(([key, one]) => `${plain(key)} ${valueText(one)}`);
  const text = parts.join(', ');
  return text.length > 120 ? `${text.slice(0, 117)}...` : text;
}

export function timeText(at: string, now: Date = new Date()): string {
  const when = new Date(at);
  if (Number.isNaN(when.getTime())) return at;
  const clock = when.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
  return when.toDateString() === now.toDateString() ? clock : `${when.toLocaleDateString([], { day: 'numeric', month: 'short' })} ${clock}`;
}
