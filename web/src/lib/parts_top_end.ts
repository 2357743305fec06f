/** What can be set about springs, rockers, pushrods, valves, gasket and rods, place by place. */
import type { PartField, PartRows, PartSection } from './parts.ts';

const choices = (...list: [string, string][]): { value: string; title: string }[] => list.map(([value, title]) => ({ value, title }));
const valves = [['intake', 'Intake'], ['exhaust', 'Exhaust']] as const;
const both = <T>(make: (valve: 'intake' | 'exhaust', title: string) => T[]): T[] => valves.flatMap(([valve, title]) => make(valve, title));
const valveChoice = choices(['intake', 'Intake'], ['exhaust', 'Exhaust']);

const spring = (valve: string, title: string): PartField[] => [
  { path: `/springs/${valve}/installed_height`, title: `${title} installed height`, type: 'length', example: '1.700 in', says: 'As wanted, retainer to seat.' },
  { path: `/springs/${valve}/seat_load`, title: `${title} seat load`, type: 'force', example: '115 lb' },
  { path: `/springs/${valve}/rate`, title: `${title} rate`, type: 'rate', example: '330 lb/in' },
  { path: `/springs/${valve}/solid_height`, title: `${title} coil bind`, type: 'length', example: '1.090 in' },
  { path: `/springs/${valve}/rate_tolerance`, title: `${title} rate, sheet off by`, type: 'rate', example: '15 lb/in', says: 'Left out: taken as exact.' },
  { path: `/springs/${valve}/solid_tolerance`, title: `${title} coil bind, sheet off by`, type: 'length', example: '0.010 in' },
  { path: `/springs/${valve}/wire_tolerance`, title: `${title} wire, sheet off by`, type: 'length', example: '0.001 in' },
];

const coils = (valve: string, title: string): PartRows => ({
  path: `/springs/${valve}/coils`, title: `${title} spring, outermost first`,
  columns: [
    { key: 'wire_diameter', title: 'Wire', type: 'length', example: '0.177 in', required: true },
    { key: 'outside_diameter', title: 'Outside', type: 'length', example: '1.262 in', required: true },
    { key: 'least_outside_diameter', title: 'Smallest outside', type: 'length', example: '1.05 in' },
    { key: 'total_coils', title: 'Coils in all', type: 'number', holds: 'number', example: '6.5', required: true },
    { key: 'ends', title: 'Ends', type: 'choice', choices: choices(['plain', 'Plain'], ['plain_ground', 'Plain, ground'], ['squared', 'Squared'], ['squared_ground', 'Squared, ground']) },
    { key: 'free_length', title: 'Free length', type: 'length', example: '2.10 in' },
    { key: 'material', title: 'Wire of', type: 'choice', choices: choices(['music', 'Music wire'], ['oil_tempered', 'Oil tempered'], ['hard_drawn', 'Hard drawn'], ['chrome_vanadium', 'Chrome vanadium'], ['chrome_silicon', 'Chrome silicon']) },
    { key: 'seat_step', title: 'Seat above the outermost\u2019s', type: 'length', example: '0.060 in' },
  ],
});

/** What a rocker's geometry is: nothing of it says anything without the rest, so it is put in as one. */
const rocker = (valve: string, title: string): PartRows => ({
  path: `/rockers/geometry/${valve}`, title: `${title} rocker geometry`, single: true,
  columns: [
    { key: 'pivot_to_valve', title: 'Pivot from the valve\u2019s axis', type: 'length', example: '1.500 in', required: true },
    { key: 'pivot_height', title: 'Pivot above the closed valve\u2019s tip', type: 'length', example: '0.150 in', required: true },
    { key: 'tip_arm', title: 'Pivot to roller axle or pad centre', type: 'length', example: '1.520 in', required: true },
    { key: 'cup_arm', title: 'Pivot to the ball in the cup', type: 'length', example: '1.000 in', required: true },
    { key: 'arm_angle', title: 'Angle between the arms, over the top', type: 'angle', example: '160 deg', required: true },
    { key: 'tip_radius', title: 'Radius of roller or pad', type: 'length', example: '0.250 in', required: true },
    { key: 'tip', title: 'Tip', type: 'choice', choices: choices(['pad', 'Pad'], ['roller', 'Roller']) },
    { key: 'pushrod_lean', title: 'Pushrod to the valve\u2019s axis', type: 'angle', example: '8 deg', required: true },
    { key: 'lifter_lean', title: 'Lifter bore to the valve\u2019s axis', type: 'angle', example: '5 deg' },
    { key: 'stud_lean', title: 'Stud to the valve\u2019s axis', type: 'angle', example: '0 deg' },
    { key: 'pushrod', title: 'Pushrod while measuring', type: 'length', example: '7.800 in' },
  ],
});

const finger = (valve: string, title: string): PartRows => ({
  path: `/followers/${valve}/finger`, title: `${title} finger, valve closed`, single: true,
  columns: [
    { key: 'pivot_to_valve', title: 'Pivot from the valve\u2019s axis', type: 'length', example: '36 mm', required: true },
    { key: 'pivot_height', title: 'Pivot above the closed valve\u2019s tip', type: 'length', example: '1 mm', required: true },
    { key: 'tip_arm', title: 'Pivot to the tip\u2019s circle', type: 'length', example: '36 mm', required: true },
    { key: 'tip_radius', title: 'Radius of that circle', type: 'length', example: '12 mm', required: true },
    { key: 'roller_arm', title: 'Pivot to the roller\u2019s axle', type: 'length', example: '20 mm', required: true },
    { key: 'arm_angle', title: 'Angle between the arms', type: 'angle', example: '12 deg', required: true },
    { key: 'cam_to_valve', title: 'Cam from the valve\u2019s axis', type: 'length', example: '17 mm', required: true },
    { key: 'cam_height', title: 'Cam above the valve\u2019s tip', type: 'length', example: '30 mm', required: true },
  ],
});

const valve = (which: string, title: string): PartField[] => [
  { path: `/valves/${which}/head_diameter`, title: `${title} head`, type: 'length', example: '1.94 in' },
  { path: `/valves/${which}/stem_diameter`, title: `${title} stem`, type: 'length', example: '0.3415 in' },
  { path: `/valves/${which}/length`, title: `${title} length`, type: 'length', example: '4.91 in' },
  { path: `/valves/${which}/angle`, title: `${title} angle to the bore`, type: 'angle', example: '18 deg' },
  { path: `/valves/${which}/mass`, title: `${title} mass`, type: 'mass', example: '110 g' },
];

export const topEnd: readonly PartSection[] = [
  {
    id: 'springs', title: 'Springs and shims',
    fields: both(spring),
    rows: [
      {
        path: '/springs/shims', title: 'Shims on the shelf',
        columns: [{ key: 'thickness', title: 'Thickness', type: 'length', example: '0.015 in', required: true }, { key: 'count', title: 'How many', type: 'count', holds: 'number', example: '16' }],
      },
      {
        path: '/springs/fitted', title: 'Shims fitted',
        columns: [
          { key: 'cylinder', title: 'Cylinder', type: 'cylinder', holds: 'number', required: true },
          { key: 'valve', title: 'Valve', type: 'choice', choices: valveChoice, required: true },
          { key: 'thickness', title: 'Together', type: 'length', example: '0.030 in', required: true },
        ],
      },
      ...both((one, title) => [coils(one, title)]),
    ],
  },
  {
    id: 'rockers', title: 'Rockers and pushrods',
    fields: [
      ...both((one, title): PartField[] => [{ path: `/rockers/${one}_ratio`, title: `${title} rocker ratio`, type: 'number', holds: 'number', example: '1.5' }]),
      { path: '/pushrods/length', title: 'Pushrods fitted', type: 'length', example: '7.800 in', says: 'Over the ball ends.' },
      { path: '/pushrods/choices', title: 'Pushrods to be had', type: 'text', of: 'length', holds: 'lengths', example: '7.750, 7.800, 7.850' },
      { path: '/pushrods/outside_diameter', title: 'Tube, outside', type: 'length', example: '0.3125 in' },
      { path: '/pushrods/wall', title: 'Tube, wall', type: 'length', example: '0.080 in' },
      { path: '/pushrods/yield_strength', title: 'Tube, yield strength', type: 'pressure', example: '690 MPa' },
      { path: '/pushrods/ball_diameter', title: 'Ball ends', type: 'length', example: '0.3125 in' },
      { path: '/pushrods/angle', title: 'Pushrods to the bores', type: 'angle', example: '8 deg', says: 'Left out: along them. What a lower head does to preload and pushrod goes by it.' },
    ],
    rows: both((one, title) => [rocker(one, title)]),
  },
  {
    id: 'valves', title: 'Valves',
    fields: [...both(valve), { path: '/valves/spacing', title: 'Between the centres of the heads', type: 'length', example: '36 mm', says: 'Closed; where the valves lean toward each other as they open.' }],
  },
  {
    id: 'followers', title: 'Lobes, followers and bucket shims',
    fields: [...both((one, title): PartField[] => [
      { path: `/followers/${one}/base_circle`, title: `${title} base circle, diameter`, type: 'length', example: '34 mm' },
      { path: `/followers/${one}/face_diameter`, title: `${title} tappet or bucket face`, type: 'length', example: '31 mm', says: 'Where it is flat, without the bevel.' },
      { path: `/followers/${one}/roller_diameter`, title: `${title} roller`, type: 'length', example: '0.750 in' },
      { path: `/followers/${one}/lobe_width`, title: `${title} lobe, width`, type: 'length', example: '12 mm' },
    ]), { path: '/bucket_shims/sizes', title: 'Bucket shims to be bought', type: 'text', of: 'length', holds: 'lengths', example: '2.60 mm; 2.65 mm; 2.70 mm' }],
    rows: [
      {
        path: '/bucket_shims/fitted', title: 'Shims at the buckets now',
        columns: [
          { key: 'cylinder', title: 'Cylinder', type: 'cylinder', holds: 'number', required: true },
          { key: 'valve', title: 'Valve', type: 'choice', choices: valveChoice, required: true },
          { key: 'thickness', title: 'Thickness', type: 'length', example: '2.68 mm', required: true },
        ],
      },
      {
        path: '/bucket_shims/stock', title: 'Bucket shims on the shelf',
        columns: [{ key: 'thickness', title: 'Thickness', type: 'length', example: '2.70 mm', required: true }, { key: 'count', title: 'How many', type: 'count', holds: 'number', example: '1' }],
      },
      ...both((one, title) => [finger(one, title)]),
    ],
  },
  {
    id: 'bottom', title: 'Head gasket and rods',
    fields: [
      { path: '/gasket/thickness', title: 'Gasket, crushed', type: 'length', example: '0.041 in' },
      { path: '/gasket/choices', title: 'Gaskets to be had, crushed', type: 'text', of: 'length', holds: 'lengths', example: '0.028, 0.041, 0.051' },
      { path: '/gasket/bore', title: 'Gasket bore', type: 'length', example: '4.100 in' },
      { path: '/rods/material', title: 'Rods of', type: 'choice', choices: choices(['steel', 'Steel'], ['aluminium', 'Aluminium'], ['titanium', 'Titanium']) },
      { path: '/rods/least_area', title: 'Least section of the shank', type: 'area', example: '200 mm2' },
      { path: '/rods/reciprocating_mass', title: 'Piston, pin, rings, small end', type: 'mass', example: '720 g' },
      { path: '/rods/big_end_clearance', title: 'Big end clearance', type: 'length', example: '0.0022 in' },
      { path: '/rods/redline', title: 'Greatest speed', type: 'speed', example: '6200 rpm' },
      { path: '/rods/fitted', title: 'Rod in cylinder 1, 2 \u2026', type: 'text', holds: 'numbers', example: '1-2-3-4', says: 'The number marked on each.' },
    ],
  },
];
