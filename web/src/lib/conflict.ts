/** Two people changed the same thing: what each place offers to choose from, and what the choice sends. */
import type { Clash, Json, Operation } from '../types/api.ts';
import type { Change } from './outbox.ts';
import { tokensOf, valueAt } from './pointer.ts';

export type Choice = 'theirs' | 'mine' | 'both';

/** Keeping both is offered where a whole reading can stand beside the other. */
export function choicesFor(clash: Clash, document: Json): Choice[] {
  return sourceReading(clash, document) ? ['theirs', 'mine', 'both'] : ['theirs', 'mine'];
}

/** The reading with my value, as it would stand beside theirs. */
function sourceReading(clash: Clash, document: Json): { [key: string]: Json } | undefined {
  const [list, id, ...inside] = tokensOf(clash.path);
  if (list !== 'readings' || id === undefined || clash.refused === null) return undefined;
  if (inside.length === 0) {
    return typeof clash.refused === 'object' && !Array.isArray(clash.refused) ? clash.refused : undefined;
  }
  const theirs = valueAt(document, `/readings/${id}`);
  const [field, ...deeper] = inside;
  if (typeof theirs !== 'object' || theirs === null || Array.isArray(theirs) || field === undefined || deeper.length > 0) {
    return undefined;
  }
  return { ...theirs, [field]: clash.refused };
}

/** The operations that carry out the choices; none means that nothing is left to send. */
export function settle(
  change: Pick<Change, 'operations' | 'conflicts'>,
  choices: Readonly<Record<string, Choice>>,
  document: Json,
  newId: () => string,
): Operation[] {
  const clashes = new Map((change.conflicts ?? []).map((clash) => [clash.path, clash]));
  const result: Operation[] = [];
  for (const operation of change.operations) {
    const clash = clashes.get(operation.path);
    const choice = clash ? (choices[operation.path] ?? 'theirs') : 'mine';
    if (choice === 'mine') result.push(operation);
    const reading = clash && choice === 'both' ? sourceReading(clash, document) : undefined;
    if (reading) {
      const id = newId();
      result.push({ path: `/readings/${id}`, value: { ...reading, id } });
    }
  }
  return result;
}
