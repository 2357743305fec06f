/**
 * The build document. To be generated from docs/build.schema.json (npm run types); until that file exists it is
 * kept by hand with the same names. Every quantity is a text with its unit: "41 deg", "0.050 in".
 */
export type Valve = 'intake' | 'exhaust';
export type Turning = 'forward' | 'backward';
export type ToolKind = 'degree_wheel' | 'angle_encoder' | 'dial_indicator' | 'digital_indicator';
export type ReadingKind =
  | 'stop_contact'
  | 'tdc_drop'
  | 'tdc_sweep'
  | 'lobe_point'
  | 'lobe_top'
  | 'lobe_sweep'
  | 'chain_slack';

export interface Engine {
  layout: string;
  firing_order: number[];
  firing_intervals?: string[];
  bank_angle?: string;
  turning?: 'clockwise' | 'counterclockwise';
  practice?: 'street_pushrod' | 'performance_pushrod' | 'twin_cam' | 'vintage_solid';
  bore: string;
  stroke: string;
  rod_length: string;
  pin_offset?: string;
}

export interface LobeCard {
  centerline?: string;
  lift?: string;
  durations?: { at: string; duration: string }[];
  events?: { at: string; opening: string; closing: string }[];
}

export interface Cam {
  follower: 'flat' | 'roller' | 'bucket' | 'finger';
  card?: { intake?: LobeCard; exhaust?: LobeCard; lobe_separation?: string; basis?: 'lobe' | 'valve' };
  wanted_centerline?: string;
}

export interface Tool {
  kind: ToolKind;
  resolution?: string;
  permissible_error?: string;
  drift?: string;
  parallax?: string;
  noise?: string;
  counts?: Turning;
}

export interface Reading {
  id?: string;
  kind: ReadingKind;
  cylinder?: number;
  valve?: Valve;
  side?: 'opening' | 'closing' | 'before' | 'after';
  measured_at?: 'lifter' | 'valve';
  turning?: Turning;
  stop?: string;
  stop_depth?: string;
  drop?: string;
  lift?: string;
  below_max?: string;
  wheel?: string;
  slack?: string;
  repeats?: string[];
  points?: [string, string][];
  pass?: number;
  position?: string;
  tool?: string;
  lift_tool?: string;
  taken?: string;
  by?: string;
}

export interface Limit {
  finding: string;
  valve?: Valve;
  cylinder?: number;
  at?: string;
  min?: string;
  max?: string;
  source?: string;
}

export interface Build {
  fettle: 1;
  name: string;
  engine: Engine;
  cam?: Cam;
  timing_set?: { positions: string[]; fitted?: string; marked_in?: 'crank' | 'cam'; cam_teeth?: number };
  lifters?: { kind: 'solid' | 'hydraulic'; checking?: boolean };
  springs_fitted?: 'none' | 'checking' | 'running';
  rockers?: { intake_ratio?: number; exhaust_ratio?: number };
  lash?: { intake?: string; exhaust?: string };
  tools?: Record<string, Tool>;
  readings?: Reading[];
  limits?: Limit[];
  notes?: { text: string; taken?: string; by?: string }[];
}
