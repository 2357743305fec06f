/** What can be set about the parts, place by place. Paths are those of docs/format.md. */
import type { FieldDescription, FieldType, Json } from '../types/api.ts';
import { block } from './parts_block.ts';
import { breathing } from './parts_breathing.ts';
import { shortBlock } from './parts_short_block.ts';
import { topEnd } from './parts_top_end.ts';
import { parseOrder } from './layouts.ts';
import { dimensionOf, parseNumber, withUnit, type FieldUnit } from './quantity.ts';

export interface PartField extends Omit<FieldDescription, 'key' | 'type'> {
  path: string;
  type: FieldType;
  /** How the text stands in the document, where it is not a quantity or a text. */
  holds?: 'number' | 'numbers' | 'angles' | 'lengths' | 'boolean' | 'banks';
}

export interface Column {
  key: string;
  title: string;
  type: FieldType;
  choices?: { value: string; title: string }[];
  holds?: 'number';
  example?: string;
  required?: boolean;
}

export interface PartRows {
  path: string;
  title: string;
  columns: Column[];
  /** One object whose figures say nothing without each other, not a list of them. */
  single?: boolean;
}

export interface PartSection {
  id: string;
  title: string;
  fields: PartField[];
  rows?: PartRows[];
}

const choices = (...list: [string, string][]): { value: string; title: string }[] => list.map(([value, title]) => ({ value, title }));
const yesNo = choices(['true', 'Yes'], ['false', 'No']);

const card = (valve: 'intake' | 'exhaust', title: string): Pick<Required<PartSection>, 'fields' | 'rows'> => ({
  fields: [
    { path: `/cam/card/${valve}/centerline`, title: `${title} centreline`, type: 'angle', example: valve === 'intake' ? '108 deg' : '114 deg' },
    { path: `/cam/card/${valve}/lift`, title: `${title} lift`, type: 'length', example: '0.300 in' },
  ],
  rows: [
    {
      path: `/cam/card/${valve}/durations`, title: `${title} durations`,
      columns: [{ key: 'at', title: 'At lift', type: 'length', example: '0.050 in' }, { key: 'duration', title: 'Duration', type: 'angle', example: '218 deg' }],
    },
    {
      path: `/cam/card/${valve}/events`, title: `${title} events as printed`,
      columns: [
        { key: 'at', title: 'At lift', type: 'length', example: '0.050 in' },
        { key: 'opening', title: 'Opens', type: 'text', example: valve === 'intake' ? '1 BTDC' : '43 BBDC' },
        { key: 'closing', title: 'Closes', type: 'text', example: valve === 'intake' ? '37 ABDC' : '5 BTDC' },
      ],
    },
  ],
});

const intake = card('intake', 'Intake');
const exhaust = card('exhaust', 'Exhaust');

export const sections: readonly PartSection[] = [
  {
    id: 'engine', title: 'Engine',
    fields: [
      { path: '/name', title: 'Name on the bench', type: 'text', required: true },
      { path: '/engine/layout', title: 'Layout', type: 'text', required: true, example: 'V8' },
      { path: '/engine/bore', title: 'Bore', type: 'length', required: true },
      { path: '/engine/stroke', title: 'Stroke', type: 'length', required: true },
      { path: '/engine/rod_length', title: 'Rod length', type: 'length', required: true },
      { path: '/engine/pin_offset', title: 'Pin offset', type: 'length', says: 'Positive toward the major thrust side.' },
      { path: '/engine/firing_order', title: 'Firing order', type: 'text', required: true, holds: 'numbers', example: '1-8-4-3-6-5-7-2' },
      { path: '/engine/firing_intervals', title: 'Firing intervals', type: 'text', holds: 'angles', example: '315, 405', says: 'Only for an uneven engine; 720 deg in all.' },
      { path: '/engine/bank_angle', title: 'Bank angle', type: 'angle' },
      { path: '/engine/banks', title: 'Banks, front to rear', type: 'text', holds: 'banks', example: '1-3-5-7 / 2-4-6-8', says: 'Cylinders of each bank; not needed in line.' },
      { path: '/engine/turning', title: 'Turns, seen from the wheel end', type: 'choice', choices: choices(['clockwise', 'Clockwise'], ['counterclockwise', 'Anticlockwise']) },
      { path: '/engine/practice', title: 'Usual limits for', type: 'choice', says: 'Common practice; holds where you typed no limit of your own.', choices: choices(['street_pushrod', 'Street pushrod'], ['performance_pushrod', 'Performance pushrod'], ['twin_cam', 'Twin cam'], ['vintage_solid', 'Vintage, solid']) },
    ],
  },
  {
    id: 'cam', title: 'Cam card',
    fields: [
      { path: '/cam/follower', title: 'Follower', type: 'choice', choices: choices(['flat', 'Flat tappet'], ['roller', 'Roller'], ['bucket', 'Bucket'], ['finger', 'Finger']) },
      { path: '/cam/wanted_centerline', title: 'Intake centreline wanted', type: 'angle', says: 'Left out: the card\u2019s.' },
      { path: '/cam/card/lobe_separation', title: 'Lobe separation', type: 'angle', example: '111 deg' },
      { path: '/cam/card/basis', title: 'The card counts lift at the', type: 'choice', choices: choices(['lobe', 'Lobe'], ['valve', 'Valve']) },
      ...intake.fields, ...exhaust.fields,
    ],
    rows: [...intake.rows, ...exhaust.rows],
  },
  {
    id: 'timing', title: 'Timing set',
    fields: [
      { path: '/timing_set/positions', title: 'Positions it offers', type: 'text', holds: 'angles', example: '-4, 0, 4', says: 'Positive advances the cam.' },
      { path: '/timing_set/fitted', title: 'Fitted now', type: 'position' },
      { path: '/timing_set/marked_in', title: 'Its marks are in', type: 'choice', choices: choices(['crank', 'Crank degrees'], ['cam', 'Cam degrees']) },
      { path: '/timing_set/exhaust_fitted', title: 'Exhaust cam fitted at', type: 'position', says: 'Only where the cams are set each by itself; fitted now is then the intake cam\u2019s.' },
      { path: '/timing_set/cam_teeth', title: 'Teeth of the cam sprocket', type: 'count', holds: 'number' },
    ],
  },
  {
    id: 'train', title: 'Lifters and lash',
    fields: [
      { path: '/lifters/kind', title: 'Lifters', type: 'choice', choices: choices(['solid', 'Solid'], ['hydraulic', 'Hydraulic']) },
      { path: '/lifters/checking', title: 'Solid checking lifter in while reading', type: 'choice', holds: 'boolean', choices: yesNo },
      { path: '/lifters/plunger_travel', title: 'Plunger travel', type: 'length', example: '0.180 in', says: 'Hydraulic: the plunger\u2019s whole travel.' },
      { path: '/lifters/adjuster', title: 'Adjusted by', type: 'choice', choices: choices(['stud_nut', 'Nut on the stud'], ['pedestal_bolt', 'Pedestal bolt'], ['pushrod_screw', 'Screw above the pushrod'], ['none', 'Nothing: pushrod length']) },
      { path: '/lifters/thread_pitch', title: 'Pitch of the adjuster\u2019s thread', type: 'length', example: '0.0417 in' },
      { path: '/springs_fitted', title: 'Springs on while reading', type: 'choice', choices: choices(['none', 'None'], ['checking', 'Checking'], ['running', 'Running']) },
      { path: '/lash/intake', title: 'Intake lash while reading', type: 'length' },
      { path: '/lash/exhaust', title: 'Exhaust lash while reading', type: 'length' },
    ],
  },
  ...topEnd,
  ...block,
  ...shortBlock,
  ...breathing,
];

/** What a part holds at least when its first field is set. */
export const starts: Readonly<Record<string, Json>> = {
  '/cam': { follower: 'flat' },
  '/lifters': { kind: 'solid' },
  '/timing_set': { positions: ['0 deg'] },
};

export const toolKinds = choices(
  ['degree_wheel', 'Degree wheel'], ['angle_encoder', 'Angle encoder'], ['dial_indicator', 'Dial indicator'], ['digital_indicator', 'Digital indicator'],
  ['micrometer', 'Micrometer'], ['height_micrometer', 'Height micrometer'], ['caliper', 'Caliper'], ['depth_gauge', 'Depth gauge'], ['feeler_gauge', 'Feeler gauge'],
  ['scale_rule', 'Steel rule'], ['load_tester', 'Load tester'],
  ['burette', 'Burette'], ['weighing_scale', 'Scale for parts'], ['torque_wrench', 'Torque wrench'], ['pressure_gauge', 'Pressure gauge'],
  ['bore_gauge', 'Bore gauge'], ['setting_ring', 'Setting ring or standard'],
);

/** What a tool measures where it is not a length. */
const measured = { degree_wheel: 'angle', angle_encoder: 'angle', load_tester: 'force', burette: 'volume', weighing_scale: 'mass', torque_wrench: 'torque', pressure_gauge: 'pressure' } as const;
const measures = (kind: string): (typeof measured)[keyof typeof measured] | 'length' => (Object.hasOwn(measured, kind) ? measured[kind as keyof typeof measured] : 'length');
const finest = { angle: '0.5 deg', force: '1 lb', length: '0.0005 in', volume: '0.2 cc', mass: '0.5 g', torque: '1 ft lb', pressure: '2 psi' } as const;
const widest = { angle: '360 deg', force: '300 lb', length: '1 in', volume: '100 cc', mass: '2000 g', torque: '100 ft lb', pressure: '300 psi' } as const;

/** The figures of a tool, in what it measures. */
export function toolFields(kind: string): PartField[] {
  const type = measures(kind);
  return [
    { path: 'resolution', title: 'Step that can be read', type, example: finest[type] },
    { path: 'permissible_error', title: 'Permissible error', type },
    { path: 'range', title: 'At a reading of', type, example: widest[type], says: 'The error grows in proportion up to the permissible one here; left out: the same everywhere.' },
    { path: 'parallax', title: 'Parallax', type },
    { path: 'drift', title: 'Drift of its zero', type },
    { path: 'noise', title: 'Scatter when repeated', type, says: 'Standard deviation of one reading repeated.' },
    ...(type === 'length' ? [{ path: 'set_on', title: 'Set to size on', type: 'text' as const, says: 'Name of the tool it was set on: the error of that one is then in both, and falls out of a clearance.' }] : []),
    ...(type === 'angle' ? [{ path: 'counts', title: 'Numbers grow turning', type: 'choice' as const, choices: choices(['forward', 'Forward'], ['backward', 'Backward']) }] : []),
  ];
}

export const limitColumns = (findings: { id: string; title: string }[]): Column[] => [
  { key: 'finding', title: 'Finding', type: 'choice', choices: findings.map(({ id, title }) => ({ value: id, title })) },
  { key: 'cylinder', title: 'Cylinder', type: 'count', holds: 'number' },
  { key: 'main', title: 'Main', type: 'count', holds: 'number' },
  { key: 'valve', title: 'Valve', type: 'choice', choices: choices(['intake', 'Intake'], ['exhaust', 'Exhaust']) },
  { key: 'at', title: 'Check lift', type: 'length', example: '0.050 in' },
  { key: 'part', title: 'Fasteners or part', type: 'text', example: 'rod bolts' },
  { key: 'min', title: 'Least', type: 'text', example: '106 deg' },
  { key: 'max', title: 'Most', type: 'text', example: '110 deg' },
  { key: 'source', title: 'From', type: 'text', example: 'maker\u2019s sheet' },
];

/** The document's value for a text, or nothing where the field is to be taken out. */
export function partValue(field: { type: FieldType; holds?: string | undefined }, text: string, unit: FieldUnit): Json | undefined {
  const typed = text.trim();
  if (typed === '') return undefined;
  switch (field.holds) {
    case 'number':
      return parseNumber(typed) ?? typed;
    case 'numbers':
      return parseOrder(typed);
    case 'angles':
      return typed.split(/\s*[;,]\s*|\s+(?=[-+\d])/).filter((one) => one !== '').map((one) => withUnit(one, 'deg'));
    case 'lengths':
      return typed.split(/\s*[;\n]\s*|\s*,\s+/).filter((one) => one !== '').map((one) => withUnit(one, unit));
    case 'boolean':
      return typed === 'true';
    case 'banks':
      return typed.split('/').map(parseOrder).filter((bank) => bank.length > 0);
    default:
      return dimensionOf(field) ? withUnit(typed, unit) : typed;
  }
}
