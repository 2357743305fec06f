/** What can be set about ports, intake, exhaust, fuel and spark, place by place: only the pull uses it. */
import type { Column, PartField, PartSection } from './parts.ts';

const choices = (...list: [string, string][]): { value: string; title: string }[] => list.map(([value, title]) => ({ value, title }));
const ports = [['intake', 'Intake'], ['exhaust', 'Exhaust']] as const;

const port = (which: 'intake' | 'exhaust', title: string): PartField[] => {
  const [throat, length, flange] = which === 'intake' ? ['1.68 in', '4.1 in', '1.76 in'] : ['1.34 in', '2.9 in', '1.46 in'];
  return [
    { path: `/head/${which}/valves`, title: `${title} valves in a cylinder`, type: 'count', holds: 'number', example: '1' },
    { path: `/head/${which}/throat_diameter`, title: `${title} throat`, type: 'length', example: throat, says: 'Under one seat.' },
    { path: `/head/${which}/length`, title: `${title} port, length`, type: 'length', example: length, says: 'Valve to flange, along the middle.' },
    { path: `/head/${which}/diameter`, title: `${title} port at the flange`, type: 'length', example: flange, says: 'Of a port that is not round: the round one of its area.' },
    { path: `/head/${which}/depression`, title: `${title} flow, measured at`, type: 'text', example: '28 inH2O' },
  ];
};

const flow: Column[] = [
  { key: 'lift', title: 'Lift of the valve', type: 'length', example: '0.300 in', required: true },
  { key: 'flow', title: 'Flow', type: 'text', example: '171 cfm' },
  { key: 'coefficient', title: 'or coefficient', type: 'number', holds: 'number', example: '0.62' },
];

export const breathing: readonly PartSection[] = [
  {
    id: 'ports', title: 'Ports, for the pull',
    fields: [...ports.flatMap(([which, title]) => port(which, title)), { path: '/head/plug_offset', title: 'Plug\u2019s gap off the bore\u2019s axis', type: 'length', example: '0.85 in' }],
    rows: ports.map(([which, title]) => ({ path: `/head/${which}/flow`, title: `${title} flow by lift`, columns: flow })),
  },
  {
    id: 'intake', title: 'Intake, for the pull',
    fields: [
      { path: '/intake/kind', title: 'Kind of intake', type: 'choice', choices: choices(['plenum', 'Plenum'], ['individual', 'One throttle a runner']) },
      { path: '/intake/runner_length', title: 'Runner, length', type: 'length', example: '6.2 in', says: 'Head\u2019s flange to plenum or bell.' },
      { path: '/intake/runner_diameter', title: 'Runner where it begins', type: 'length', example: '1.82 in' },
      { path: '/intake/plenum_volume', title: 'Plenum', type: 'text', example: '2.1 L' },
      { path: '/intake/throttles', title: 'Throttle bores', type: 'count', holds: 'number', example: '4' },
      { path: '/intake/throttle_bore', title: 'Throttle bore', type: 'length', example: '1.62 in' },
      { path: '/intake/throttle_flow', title: 'Throttles\u2019 flow, wide open', type: 'text', example: '600 cfm', says: 'Of all bores together, as a carburettor is rated.' },
    ],
  },
  {
    id: 'exhaust', title: 'Exhaust, for the pull',
    fields: [
      { path: '/exhaust/primary_length', title: 'Primary, length', type: 'length', example: '33 in' },
      { path: '/exhaust/primary_diameter', title: 'Primary, inside', type: 'length', example: '1.6 in' },
      { path: '/exhaust/groups', title: 'Cylinders that share a collector', type: 'text', holds: 'banks', example: '1-3-5-7 / 2-4-6-8' },
      { path: '/exhaust/collector_length', title: 'Collector, length', type: 'length', example: '11 in' },
      { path: '/exhaust/collector_diameter', title: 'Collector, inside', type: 'length', example: '2.9 in' },
      { path: '/exhaust/tail_length', title: 'Tail, length', type: 'length', example: '45 in' },
      { path: '/exhaust/tail_diameter', title: 'Tail, inside', type: 'length', example: '2.4 in' },
    ],
  },
  {
    id: 'fuel', title: 'Fuel and spark, for the pull',
    fields: [
      { path: '/fuel/kind', title: 'Fuel', type: 'choice', choices: choices(['gasoline', 'Gasoline'], ['isooctane', 'Isooctane']) },
      { path: '/fuel/octane', title: 'Octane, as the pump states it', type: 'number', holds: 'number', example: '95' },
      { path: '/fuel/lambda', title: 'Mixture, lambda', type: 'number', holds: 'number', example: '0.88' },
    ],
    rows: [{
      path: '/ignition/advance', title: 'Spark at full load', columns: [
        { key: 'speed', title: 'At', type: 'speed', example: '3000 rpm', required: true }, { key: 'advance', title: 'Before TDC', type: 'angle', example: '32 deg', required: true },
      ],
    }],
  },
];
