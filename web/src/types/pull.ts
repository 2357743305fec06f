/** The pull, as docs/api.md says it. SI units and radians. */
import type { Operation, Problem } from './api.ts';

export type PullState = 'waiting' | 'running' | 'done' | 'cancelled' | 'failed';

export interface PullVariant {
  title: string;
  /** Crank rad by which the cam stands earlier than fitted. */
  cam: number;
  operations: Operation[];
}

export interface PullOrder {
  from: number;
  to: number;
  step: number;
  air: { pressure: number; vapour_pressure: number; temperature: number };
  doubts: boolean;
  dynamic?: boolean;
  trace_cylinder: number;
  variants: PullVariant[];
}

/** A point already run. */
export interface PullPoint {
  variant: number;
  speed: number;
  brake_torque: number;
}

export interface PullStanding {
  id: string;
  engine: string;
  version: number;
  stale: boolean;
  by: string;
  at: string;
  state: PullState;
  done: number;
  total: number;
  seconds: number;
  says: string;
  order: PullOrder;
  so_far: PullPoint[];
}

export interface SpeedPoint {
  speed: number;
  converged: boolean;
  /** Two cycles take turns; their mean is given. */
  alternates: boolean;
  why: string;
  brake_torque: number;
  friction_torque: number;
  brake_power: number;
  torque_sae: number;
  torque_iso: number;
  bmep: number;
  imep: number;
  pmep: number;
  fmep: number;
  volumetric_efficiency: number;
  residual: number;
  /** kg/J; null without brake power. */
  fuel_consumption: number | null;
  exhaust_temperature: number;
  peak_pressure: number;
  advance: number;
  knock_integral: number;
  knock_advance: number | null;
  spark_held_back: boolean;
}

export interface Assumption {
  text: string;
  value: string;
  si?: number;
  unit?: string;
}

export interface TorqueDoubt {
  source: string;
  finding: string;
  u: number | null;
  at: { speed: number; per_unit: number; torque_u: number | null }[];
}

export interface PullResult {
  points: SpeedPoint[];
  doubts: TorqueDoubt[];
  assumptions: Assumption[];
  cautions: string[];
  displacement: number;
  compression_ratio: number;
  sae_factor: number;
  iso_factor: number;
}

export interface FullPull extends PullStanding {
  /** One a variant; null unless it is done. */
  results: PullResult[] | null;
}

export interface Pulls {
  version: number;
  /** What the build lacks; nothing where a pull can be run. */
  problems: Problem[];
  assumptions: Assumption[];
  cautions: string[];
  most_points: number;
  most_variants: number;
  pulls: PullStanding[];
}

export interface PullNews {
  pull: string;
  engine: string;
  state: PullState;
  done: number;
  total: number;
  point: PullPoint | null;
}

/** Over the crank angle of one cylinder, nought at its overlap TDC. */
export interface Trace {
  angle: number[];
  volume: number[];
  pressure: number[];
  temperature: number[];
  intake_pressure: number[];
  exhaust_pressure: number[];
  intake_lift: number[];
  exhaust_lift: number[];
}

export interface PullTrace {
  variant: number;
  point: number;
  speed: number;
  cylinder: number;
  trace: Trace;
}

/** What is sent: texts with their units. */
export interface PullRequest {
  from: string;
  to: string;
  step: string;
  air: { pressure: string; vapour_pressure?: string; temperature: string };
  doubts: boolean;
  dynamic?: boolean;
  trace_cylinder: number;
  variants: { title: string; cam?: string; operations?: Operation[] }[];
}
