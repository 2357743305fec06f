/** What can be set about chambers, crowns, deck, fasteners and balance, place by place. */
import type { Column, PartSection } from './parts.ts';

const choices = (...list: [string, string][]): { value: string; title: string }[] => list.map(([value, title]) => ({ value, title }));

const lightened = choices(['piston', 'Piston'], ['big_end', 'Big end'], ['small_end', 'Small end']);

export const block: readonly PartSection[] = [
  {
    id: 'volumes', title: 'Volumes and deck',
    fields: [
      { path: '/chamber/volume', title: 'Chamber, as its maker has it', type: 'volume', example: '64 cc', says: 'Where it was not poured.' },
      { path: '/chamber/area', title: 'Chamber, open at the face', type: 'area', example: '8200 mm2', says: 'What milling takes off for each depth.' },
      { path: '/chamber/milled', title: 'Milled off the head in all', type: 'length', example: '0.010 in' },
      { path: '/crowns/compression_height', title: 'Compression height', type: 'length', example: '1.540 in' },
      { path: '/crowns/dish', title: 'Dish less dome, as the maker has it', type: 'volume', example: '5.0 cc', says: 'Negative: a dome. 0: a flat top.' },
      { path: '/crowns/deepened', title: 'Cut out of each crown in all', type: 'volume', example: '2.0 cc' },
      { path: '/crowns/land_diameter', title: 'Land above the top ring', type: 'length', example: '3.965 in' },
      { path: '/crowns/land_height', title: 'Height of that land', type: 'length', example: '0.250 in' },
      { path: '/deck/height', title: 'Block, crank to deck', type: 'length', example: '9.025 in', says: 'Before anything was cut off it.' },
      { path: '/deck/cut', title: 'Cut off the deck in all', type: 'length', example: '0.005 in' },
    ],
  },
  {
    id: 'compression', title: 'Compression wanted, and the air',
    fields: [
      { path: '/compression/wanted_ratio', title: 'Static ratio wanted', type: 'number', holds: 'number', example: '9.6' },
      { path: '/compression/barometer', title: 'Barometer, absolute', type: 'pressure', example: '1003 hPa' },
      { path: '/compression/altitude', title: 'Altitude', type: 'text', example: '1200 ft', says: 'In feet or metres; the barometer wins.' },
      { path: '/compression/air', title: 'Air drawn in', type: 'text', example: '20 C' },
      { path: '/compression/cranking_speed', title: 'Cranking speed', type: 'speed', example: '200 rpm' },
      { path: '/compression/exponent', title: 'Polytropic exponent', type: 'number', holds: 'number', example: '1.30' },
      { path: '/compression/leak', title: 'Leaks of a cylinder', type: 'area', example: '0.2 mm2' },
    ],
  },
  {
    id: 'balance', title: 'Balance',
    fields: [
      { path: '/balance/factor', title: 'Balance factor', type: 'number', holds: 'number', example: '0.5' },
      { path: '/balance/factor_of', title: 'It is a part of', type: 'choice', choices: choices(['reciprocating', 'What reciprocates'], ['all', 'All that moves']) },
      { path: '/balance/oil', title: 'Oil on one crank pin', type: 'mass', example: '5 g' },
      { path: '/balance/rods_a_pin', title: 'Rods on one pin', type: 'count', holds: 'number', example: '2' },
      { path: '/balance/crank_bobweight', title: 'Bobweight the crank was balanced to', type: 'mass', example: '1850 g' },
      { path: '/balance/bore_spacing', title: 'Between bores of a bank', type: 'length', example: '4.400 in' },
      { path: '/balance/bank_stagger', title: 'Second bank behind the first', type: 'length', example: '0.940 in' },
      { path: '/balance/speed', title: 'Forces at', type: 'speed', example: '6000 rpm', says: 'Left out: the greatest speed.' },
    ],
    rows: [
      {
        path: '/balance/taken_off', title: 'Taken off since first weighed',
        columns: [
          { key: 'item', title: 'Part', type: 'choice', choices: lightened, required: true },
          { key: 'number', title: 'Number on it', type: 'count', holds: 'number', required: true },
          { key: 'amount', title: 'In all', type: 'mass', example: '1.5 g', required: true },
        ],
      },
      {
        path: '/balance/spare', title: 'That one part may lose in all',
        columns: [
          { key: 'item', title: 'Part', type: 'choice', choices: lightened, required: true },
          { key: 'most', title: 'At most', type: 'mass', example: '5 g', required: true },
        ],
      },
    ],
  },
];

/** One set of fasteners. */
export const fastenerColumns: Column[] = [
  { key: 'use', title: 'Holds', type: 'choice', choices: choices(['rod', 'Rods'], ['main', 'Main caps'], ['head', 'Head'], ['other', 'Something else']) },
  { key: 'diameter', title: 'Thread', type: 'length', example: '0.4375 in', required: true },
  { key: 'pitch', title: 'Pitch', type: 'length', example: '0.0500 in', required: true },
  { key: 'thread', title: 'Form', type: 'choice', choices: choices(['unified', 'Inch'], ['metric', 'Metric']) },
  { key: 'shank_diameter', title: 'Shank or waist', type: 'length', example: '0.390 in' },
  { key: 'shank_length', title: 'Shank under tension', type: 'length', example: '1.100 in' },
  { key: 'thread_length', title: 'Thread under tension', type: 'length', example: '0.400 in' },
  { key: 'grade', title: 'Grade', type: 'choice', choices: choices(['5', '5'], ['8', '8'], ['8.8', '8.8'], ['10.9', '10.9'], ['12.9', '12.9']) },
  { key: 'proof_strength', title: 'Proof strength', type: 'text', example: '170 ksi' },
  { key: 'yield_strength', title: 'Yield strength', type: 'text', example: '190 ksi' },
  { key: 'modulus', title: 'Modulus', type: 'text', example: '207 GPa' },
  { key: 'finish', title: 'Tightened', type: 'choice', choices: choices(['black', 'Black, dry'], ['zinc_plated', 'Zinc, dry'], ['lubricated', 'Lubricated'], ['cadmium_plated', 'Cadmium']) },
  { key: 'nut_factor', title: 'Nut factor', type: 'number', holds: 'number', example: '0.17' },
  { key: 'count', title: 'How many', type: 'count', holds: 'number', example: '16' },
  { key: 'stretch_least', title: 'Least stretch', type: 'length', example: '0.0060 in' },
  { key: 'stretch_most', title: 'Most stretch', type: 'length', example: '0.0065 in' },
];
