/** Preloads of a set of fasteners against the loads that prove and yield them. */
import type { BoltPicture, Finding } from '../types/api.ts';

export interface BoltRow {
  number: number;
  stretch: number | null;
  preload: number | null;
  /** Half the width of the doubt of the preload at 95 %. */
  expanded: number;
  proofPart: number | null;
}

export interface BoltSet {
  set: string;
  rows: BoltRow[];
  /** Loads, N; nothing where the set's strength is not known. */
  proof: number | undefined;
  yields: number | undefined;
}

/** The load at which a stress that grows with the load reaches its limit, from a load and its part of that limit. */
const whole = (load: number | null | undefined, part: number | null | undefined): number | undefined => (load == null || part == null || load <= 0 || part <= 0 ? undefined : load / part);

export function boltSets(picture: BoltPicture | null | undefined, findings: readonly Finding[]): BoltSet[] {
  return (picture?.sets ?? []).map(({ set, bolts }) => {
    const of = (id: string, number: number): Finding | undefined => findings.find((one) => one.id === id && one.where.part === set && one.where.number === number);
    const rows = [...bolts].sort((a, b) => a.number - b.number).map(({ number, stretch, preload, proof_part }) => ({ number, stretch, preload, expanded: of('fastener.preload', number)?.expanded ?? 0, proofPart: proof_part }));
    const loads = rows.map(({ number, preload, proofPart }) => {
      const margin = of('fastener.yield_margin', number)?.value;
      return { proof: whole(preload, proofPart), yields: whole(preload, margin == null ? undefined : 1 - margin) };
    });
    return { set, rows, proof: loads.find((one) => one.proof !== undefined)?.proof, yields: loads.find((one) => one.yields !== undefined)?.yields };
  });
}

/** From a load to its place along the picture, 0 to 1: nought to a little past the greatest of all that is shown. */
export function loadScale({ rows, proof, yields }: BoltSet): (load: number) => number {
  const most = Math.max(proof ?? 0, yields ?? 0, ...rows.map(({ preload, expanded }) => (preload ?? 0) + expanded));
  return (load) => (most > 0 ? Math.min(1, Math.max(0, load / (1.06 * most))) : 0);
}
