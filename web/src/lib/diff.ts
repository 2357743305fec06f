/** Which places differ between two states of a build, to mark briefly what somebody else changed. */
import type { Build } from '../types/build.ts';

export function changedReadings(before: Build, after: Build): Set<string> {
  const old = new Map((before.readings ?? []).map((one) => [one.id, JSON.stringify(one)]));
  const changed = new Set<string>();
  for (const one of after.readings ?? []) {
    if (one.id !== undefined && old.get(one.id) !== JSON.stringify(one)) changed.add(one.id);
  }
  return changed;
}
