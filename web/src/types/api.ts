/** The HTTP interface, as docs/api.md says it. */
import type { Dimension } from '../lib/quantity.ts';
import type { Build, ReadingKind, ToolKind, Turning, Valve } from './build.ts';

export type Json = null | boolean | number | string | Json[] | { [key: string]: Json };
export type Verdict = 'holds' | 'fails' | 'too_close' | 'open';
export type Unit = 'rad' | 'm' | string;

export interface Counts {
  holds: number;
  fails: number;
  too_close: number;
  open: number;
}

export interface EngineRow {
  id: string;
  name: string;
  layout: string;
  version: number;
  changed_at: string;
  by: string;
  /** Null while they are still being worked out. */
  verdicts: Counts | null;
  mistakes: number | null;
}

export interface Where {
  cylinder?: number;
  valve?: Valve;
  at?: number;
  /** A set of fasteners, a kind of part weighed, or a bank. */
  part?: string;
  number?: number;
  /** Main bearing, counted from the front. */
  main?: number;
}

export interface Share {
  reading?: number;
  tool?: string;
  label: string;
  share: number;
}

export interface LimitUsed {
  /** Null: no end on this side. */
  min?: number | null;
  max?: number | null;
  source?: string;
}

export interface Finding {
  id: string;
  station: string;
  where: Where;
  unit: Unit;
  value: number | null;
  u?: number;
  dof?: number;
  expanded?: number;
  limit?: LimitUsed;
  verdict: Verdict | null;
  basis?: string;
  shares?: Share[];
  needs?: string;
}

export interface Mistake {
  id: string;
  station: string;
  readings: number[];
  cylinder?: number;
  says: string;
  do_next?: string;
}

export interface Standing {
  value: number | null;
  expanded?: number;
  verdict: Verdict | null;
}

export interface Moved {
  id: string;
  where: Where;
  unit?: Unit;
  from: Standing;
  to: Standing;
}

export interface Operation {
  path: string;
  value?: Json;
}

export interface Correction {
  id: string;
  station: string;
  says: string;
  recommended?: boolean;
  operations: Operation[];
  effects: Moved[];
}

/** A correction named in counsel; `place` among the report's corrections. */
export interface Named {
  id: string;
  place: number;
  station: string;
  says: string;
}

export interface Trouble {
  finding: Finding;
  remedies: (Named & { mended: number; harmed: Moved[] })[];
  /** How to be sure of a finding that is too close to call. */
  settling?: { wanted: number | null; reading: number | null; times: number | null; label: string; tool: string };
}

export interface Plan {
  corrections: Named[];
  operations: Operation[];
  all_hold: boolean;
  fails: number;
  too_close: number;
  effects: Moved[];
}

export interface Counsel {
  version: number;
  fails: number;
  too_close: number;
  troubles: Trouble[];
  plans: Plan[];
  complete: boolean;
  tried: number;
  next_reading: string | null;
}

export interface NextReading {
  says: string;
  reading?: number | null;
  tool?: string;
  finding?: string;
  station?: string;
  where?: Where;
  expanded_from?: number;
  expanded_to?: number;
}

export interface TdcPicture {
  /** Null until it can be worked out. */
  wheel_at_tdc: number | null;
  expanded: number;
  counts: Turning;
  contacts: { reading: number; wheel: number; turning: Turning; cylinder: number }[];
}

export interface LobeEvent {
  at: number;
  /** Null where nothing was read. */
  opening: number | null;
  closing: number | null;
}

export interface LobeCurve {
  cylinder: number;
  valve: Valve;
  crank: number[];
  lift: number[];
  points: [number, number][];
  events: LobeEvent[];
  top?: { crank: number | null; lift: number | null };
}

export interface CardCurve {
  valve: Valve;
  crank: number[];
  lift: number[];
  synthesised?: boolean;
  events: LobeEvent[];
}

export interface CamPicture {
  lobes: LobeCurve[];
  card: CardCurve[];
}

interface OfValve {
  cylinder: number;
  valve: Valve;
}

export interface SpringCurve extends OfValve {
  /** Height and load as read. */
  points: [number, number][];
  curve: [number, number][];
  seat_height: number | null;
  open_height: number | null;
  solid_height: number | null;
  /** Thickness of the shims under it now. */
  shims: number;
}

export interface Packing {
  found: boolean;
  says: string;
  spread: number;
  /** Thicknesses of the shims under each. */
  springs: { cylinder: number; shims: number[]; seat_load: number }[];
}

export interface SpringPicture {
  springs: SpringCurve[];
  packing: Partial<Record<Valve, Packing | null>>;
}

/** A place in the rocker's plane: nought at the tip of the closed valve, y along the valve, m. */
export type Place = [number, number];

export interface RockerStep {
  rise: number;
  lift: number;
  ratio: number;
  pivot: Place;
  tip_centre: Place;
  contact: Place;
  cup: Place;
  tappet: Place;
  valve_tip: Place;
  pushrod_angle: number;
  tappet_side: number;
}

export interface Sweep {
  least: number;
  greatest: number;
  closed: number;
  open: number;
  width: number;
}

export interface RockerMechanism {
  valve: Valve;
  tip: 'pad' | 'roller';
  tip_radius: number;
  sweep: Sweep | null;
  least_sweep: (Sweep & { pushrod: number }) | null;
  lifts: RockerStep[];
}

export interface TipMark extends OfValve {
  offset: number;
  width: number | null;
  tip_half_width: number | null;
}

export interface RockerPicture {
  mechanisms: RockerMechanism[];
  marks: TipMark[];
}

export interface ValveClearance extends OfValve {
  curve: { crank: number[]; clearance: number[] };
  against_cam: { advance: number[]; clearance: number[] };
  /** Null edges: nothing met within the search. Null: no limit to keep, or no position keeps it. */
  window: { most_retard: number | null; most_advance: number | null; holds_now: boolean } | null;
  limit: number | null;
}

export interface PistonValvePicture {
  valves: ValveClearance[];
}

export interface SetValve extends OfValve {
  /** Crank angle to the nearer ramp. */
  margin: number;
}

/** Which shim goes to a bucket, and where it comes from. Lengths in m. */
export interface ShimPlace extends OfValve {
  gap: number;
  wanted: number;
  now: number;
  next: number;
  gap_after: number;
  from: 'stays' | 'other_valve' | 'shelf' | 'bought' | 'nowhere';
  from_cylinder?: number;
  from_valve?: Valve;
}

export interface ShimPlan {
  places: ShimPlace[];
  /** Every lash then lies inside its limits by its doubt. */
  proved: boolean;
  moved: number;
  bought: number;
  unserved: number;
}

export interface SettingCard {
  shims?: ShimPlan;
  plan: { positions: { crank: number; firing_cylinder: number | null; valves: SetValve[] }[]; never: SetValve[] };
  one_at_a_time: (SetValve & { crank: number })[];
  margin: number;
  expanded: number;
  basis: Partial<Record<Valve, string>>;
}

/** Volumes above one piston at TDC, m3; a dome is negative. */
export interface RoomAbove {
  cylinder: number;
  parts: { id: string; title: string; volume: number }[];
  clearance: number;
  ratio: number;
}

export interface CompressionPicture {
  cylinders: RoomAbove[];
  swept?: number;
}

export interface DeckedPiston {
  cylinder: number;
  /** Below the deck over the pin, m; null where it was not read. */
  below: number | null;
  front: number | null;
  rear: number | null;
  inboard: number | null;
  outboard: number | null;
}

export interface DeckPicture {
  /** Pistons from front to rear; the line at the first and the last of them. */
  banks: { pistons: DeckedPiston[]; line: [number, number] | null }[];
  computed: number | null;
}

export interface BoltPicture {
  sets: { set: string; bolts: { number: number; stretch: number | null; preload: number | null; proof_part: number | null }[] }[];
}

/** Real and imaginary part: across and along the bore of the first bank. */
export type Phasor = [number, number];

export interface BalancePicture {
  /** rad/s; null where nothing can be told. */
  speed: number | null;
  basis?: string;
  orders: { order: number; forward: Phasor; backward: Phasor; moment_forward: Phasor | null; moment_backward: Phasor | null }[];
}

export interface StartStep {
  id: string;
  says: string;
  why: string;
  caution: boolean;
  open: string[];
}

interface Band { min: number | null; max: number | null }

export interface BorePoint {
  /** Depth below the deck; null where it was not said. */
  along: number | null;
  /** Direction, 0 square to the pin; null where it was not said. */
  around: number | null;
  diameter: number;
}

export interface BoreMap {
  cylinder: number;
  points: BorePoint[];
  piston: number | null;
  piston_mark: number;
  limit: Band | null;
}

export interface BorePicture {
  bores: BoreMap[];
}

export interface BearingClearance {
  number: number;
  clearance: number;
  expanded: number;
  direct: number | null;
  crossed: number | null;
  strip: number | null;
  /** Sizes of the halves, upper and lower. */
  shells: [number, number];
  limit: Band | null;
}

export interface BearingPicture {
  mains: BearingClearance[];
  rods: BearingClearance[];
}

/** A valve's train at one speed; SI. */
export interface RunningSpeed {
  speed: number;
  repeats: boolean;
  separates: boolean;
  least_force: number;
  greatest_force: number;
  loft: number;
  deflection: number;
  bounce: number;
  surge: number;
  /** Of the middle coil, by half orders of the crank from a half. */
  surge_orders: number[];
  lift: number[];
  force: number[];
  /** Widest of any contact while it should be closed. */
  gap: number[];
}

/** Over the crank from the lobe's top, at from, from + step, ... */
export interface RunningTrain extends OfValve {
  redline: number;
  basis: string;
  spring_frequency: number;
  from: number;
  step: number;
  rigid_lift: number[];
  speeds: RunningSpeed[];
}

export interface TrainPicture {
  trains: RunningTrain[];
}

export interface Report {
  findings: Finding[];
  mistakes: Mistake[];
  corrections: Correction[];
  next_reading?: NextReading | null;
  assumptions?: string[];
  first_start?: StartStep[];
}

/** By station; empty where there is nothing to draw from. */
export interface Pictures {
  compression?: CompressionPicture | null;
  deck?: DeckPicture | null;
  fastener?: BoltPicture | null;
  balance?: BalancePicture | null;
  tdc?: TdcPicture | null;
  cam?: CamPicture | null;
  spring?: SpringPicture | null;
  rocker?: RockerPicture | null;
  piston_valve?: PistonValvePicture | null;
  /** Empty where neither lobes nor a card say when the valves move. */
  bore?: BorePicture | null;
  bottom_end?: BearingPicture | null;
  valve_train?: TrainPicture | null;
  lash?: SettingCard | { shims?: ShimPlan; plan?: never } | null;
}

export interface Drawn {
  version: number;
  picture: Pictures[keyof Pictures];
}

export interface UndoStep {
  entry: number;
  by: string;
  at: string;
  says: string;
}

export interface EngineState {
  id: string;
  name: string;
  version: number;
  document: Build;
  report: Report;
  /** Of the stations looked at so far. */
  pictures?: Pictures;
  can_undo: UndoStep | null;
  can_redo: UndoStep | null;
}

export interface Changed {
  version: number;
  entry: number;
  previous?: number;
  moved: Moved[];
  report: Report;
}

export interface Tried {
  version: number;
  moved: Moved[];
  report: Report;
}

export interface Problem {
  place: string;
  given: string;
  accepted: string;
  example: string;
}

export interface Clash {
  path: string;
  present: Json;
  refused: Json;
  by: string;
  at: string;
  entry: number;
}

export interface HistoryEntry {
  entry: number;
  at: string;
  by: string;
  device: string;
  kind: string;
  operations: { path: string; before?: Json; value?: Json }[];
  undoes?: number | null;
}

export type FieldType =
  | 'wheel'
  | 'wheel_list'
  | 'angle'
  | 'length'
  | 'cylinder'
  | 'choice'
  | 'tool'
  | 'position'
  | 'count'
  | 'text'
  | 'points'
  | 'force'
  | 'number'
  | 'measure_list'
  | 'temperature'
  /** Of parts only. */
  | 'rate'
  | 'pressure'
  | 'speed'
  // Of no reading yet, only of limits.
  | 'velocity'
  | 'mass'
  | 'area'
  | 'ratio'
  | 'volume'
  | 'torque'
  | 'viscosity';

export interface FieldDescription {
  key: string;
  title: string;
  type: FieldType;
  /** What a measure_list repeats: the server says it of the reading, not of the field (described in lib/entry.ts). */
  of?: Dimension;
  says?: string;
  required?: boolean;
  example?: string;
  default?: string;
  choices?: { value: string; title: string }[];
  tools?: ToolKind[];
  alternates?: boolean;
}

export interface ReadingDescription {
  kind: ReadingKind;
  title: string;
  says?: string;
  fields: FieldDescription[];
  one_of?: string[];
  exclusive?: boolean;
}

export interface FindingDescription {
  id: string;
  title: string;
  definition: string;
  headline?: boolean;
}

export interface StationDescription {
  id: string;
  title: string;
  purpose?: string;
  how: string[];
  cautions: string[];
  readings: ReadingDescription[];
  findings: FindingDescription[];
}

export interface LiveEvent {
  engine: string;
  version: number;
  entry: number;
  kind: string;
  by: string;
  device: string;
}
