/** What can be set about bearings and bores, place by place. */
import type { PartField, PartRows, PartSection } from './parts.ts';

const choices = (...list: [string, string][]): { value: string; title: string }[] => list.map(([value, title]) => ({ value, title }));
const materials = choices(['iron', 'Iron'], ['aluminium', 'Aluminium']);

const bearing = (which: string, title: string, journal: string): PartField[] => [
  { path: `/bearings/${which}/journal`, title: `${title} journal, new`, type: 'length', example: journal, says: 'The greatest diameter of a new one.' },
  { path: `/bearings/${which}/width`, title: `${title} shell, width`, type: 'length', example: '0.80 in', says: 'For the oil film.' },
  { path: `/bearings/${which}/load`, title: `${title} load`, type: 'force', example: '2000 lb', says: 'For the oil film: steady, on one bearing.' },
];

const shells = (which: string, title: string): PartRows[] => [
  {
    path: `/bearings/${which}/shells`, title: `${title} shells in hand`,
    columns: [{ key: 'change', title: 'A pair changes the clearance by', type: 'length', example: '-0.001 in', required: true }, { key: 'count', title: 'Pairs', type: 'count', holds: 'number', example: '2' }],
  },
  {
    path: `/bearings/${which}/fitted`, title: `${title} shells fitted, other than standard`,
    columns: [
      { key: 'number', title: which === 'main' ? 'Main' : 'Cylinder', type: 'count', holds: 'number', required: true },
      { key: 'upper', title: 'Upper half', type: 'length', example: '-0.001 in' },
      { key: 'lower', title: 'Lower half', type: 'length', example: '0 in' },
    ],
  },
];

export const shortBlock: readonly PartSection[] = [
  {
    id: 'bearings', title: 'Crank and bearings',
    fields: [
      { path: '/bearings/mains', title: 'Main bearings', type: 'count', holds: 'number', example: '5' },
      ...bearing('main', 'Main', '2.4485 in'), ...bearing('rod', 'Rod', '2.1000 in'),
    ],
    rows: [
      ...shells('main', 'Main'), ...shells('rod', 'Rod'),
      {
        path: '/bearings/oil', title: 'Oil and speed for the film', single: true,
        columns: [
          { key: 'viscosity', title: 'Dynamic viscosity, hot', type: 'viscosity', example: '9 mPa s', required: true },
          { key: 'speed', title: 'Speed', type: 'speed', example: '6000 rpm', required: true },
        ],
      },
    ],
  },
  {
    id: 'bores', title: 'Bores and pistons',
    fields: [
      { path: '/bores/material', title: 'Walls of', type: 'choice', choices: materials },
      { path: '/bores/piston_material', title: 'Pistons of', type: 'choice', choices: materials },
      { path: '/bores/pistons', title: 'Piston in cylinder 1, 2 \u2026', type: 'text', holds: 'numbers', example: '1-2-3-4', says: 'The number marked on each.' },
    ],
    rows: [
      {
        path: '/bores/honed', title: 'Honed out since first read',
        columns: [{ key: 'cylinder', title: 'Cylinder', type: 'cylinder', holds: 'number', required: true }, { key: 'amount', title: 'On the diameter', type: 'length', example: '0.001 in', required: true }],
      },
      {
        path: '/bores/running', title: 'Temperatures when running', single: true,
        columns: [{ key: 'bore', title: 'Bore', type: 'temperature', example: '110 C', required: true }, { key: 'piston', title: 'Piston', type: 'temperature', example: '140 C', required: true }],
      },
    ],
  },
];
