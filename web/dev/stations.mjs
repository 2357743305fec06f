/** Descriptions of the two stations, as GET /api/stations gives them; for page tests without the binary. */
const cylinder = { key: 'cylinder', title: 'Cylinder', type: 'cylinder', required: true, default: '1' };
const valve = {
  key: 'valve', title: 'Lobe', type: 'choice', required: true, default: 'intake',
  choices: [{ value: 'intake', title: 'Intake' }, { value: 'exhaust', title: 'Exhaust' }],
};
const turning = (more) => ({
  key: 'turning', title: 'Turning', type: 'choice',
  choices: [{ value: 'forward', title: 'Forward' }, { value: 'backward', title: 'Backward' }], ...more,
});
const wheel = { key: 'wheel', title: 'Wheel shows', type: 'wheel', required: true, example: '41 deg' };
const repeats = { key: 'repeats', title: 'Read again', type: 'wheel_list', says: 'The wheel again, for the same reading taken again.' };
const pass = { key: 'pass', title: 'Pass', type: 'count', says: '1 the first time round, 2 when repeated later.' };
const tool = { key: 'tool', title: 'Wheel', type: 'tool', tools: ['degree_wheel', 'angle_encoder'] };
const dial = { key: 'lift_tool', title: 'Indicator', type: 'tool', tools: ['dial_indicator', 'digital_indicator'] };
const measuredAt = {
  key: 'measured_at', title: 'Indicator on', type: 'choice', default: 'lifter',
  choices: [{ value: 'lifter', title: 'Lifter' }, { value: 'valve', title: 'Valve' }],
};
const position = { key: 'position', title: 'Timing set at', type: 'position', says: 'Left out: the position fitted now.' };

const finding = (id, title, definition, headline = false) => ({ id, title, definition, headline });

export const stations = [
  {
    id: 'tdc', title: 'True TDC',
    purpose: 'Where the wheel stands when cylinder 1 is at true top dead centre. Everything after it counts from here.',
    how: [
      'Fit the wheel and a stiff pointer; fit the stop so that it holds the piston 15 to 20 degrees short of TDC.',
      'Turn forward until the piston touches. Read the wheel.',
      'Turn backward, all the way round, until it touches again. Read the wheel.',
      'Repeat both. The same span tells that neither stop nor pointer moved.',
    ],
    cautions: ['Turn against a stop by hand and slowly, with the plugs out. Never with the starter.'],
    readings: [
      {
        kind: 'stop_contact', title: 'Stop contact', says: 'Wheel where the piston touches the stop.',
        fields: [
          cylinder, turning({ required: true, default: 'forward', alternates: true }), wheel,
          { key: 'stop', title: 'Stop', type: 'text', says: 'Its name, where several were used.' },
          { key: 'stop_depth', title: 'Stop below TDC', type: 'length', example: '0.150 in' }, repeats, pass, tool,
        ],
      },
      {
        kind: 'tdc_drop', title: 'Equal drops', says: 'Wheel where the piston stands a stated drop below its highest place.',
        fields: [
          cylinder,
          {
            key: 'side', title: 'Side of TDC', type: 'choice', required: true, default: 'before', alternates: true,
            choices: [{ value: 'before', title: 'Before' }, { value: 'after', title: 'After' }],
          },
          { key: 'drop', title: 'Drop', type: 'length', required: true, example: '0.050 in' },
          wheel, turning({}), repeats, pass, tool, dial,
        ],
      },
      {
        kind: 'tdc_sweep', title: 'Sweep through TDC', says: 'Piston height against the wheel, 12 points or more.',
        fields: [cylinder, { key: 'points', title: 'Wheel and height', type: 'points', required: true }, turning({ default: 'forward' }), pass, tool, dial],
      },
    ],
    findings: [
      finding('tdc.wheel', 'True TDC on the wheel', 'Wheel reading when cylinder 1 stands at true TDC.', true),
      finding('tdc.shift', 'TDC, later pass against first', 'True TDC from the latest pass less true TDC from the first.'),
    ],
  },
  {
    id: 'cam', title: 'Cam timing',
    purpose: 'Whether the cam stands where its card says, on every lobe that matters.',
    how: [
      'Zero the indicator on the base circle, in line with the lifter bore, with a solid or checking lifter.',
      'Turn in running direction only. After an overshoot go back 0.100 in past and come again.',
      'Read the wheel at 0.050 in opening and closing, or the same drop either side of the top.',
    ],
    cautions: [
      'Turn by hand, plugs out: with a tight clearance a valve can meet a piston.',
      'Keep fingers clear of lobes and springs while somebody turns.',
    ],
    readings: [
      {
        kind: 'lobe_point', title: 'Lobe point', says: 'Wheel at a stated lift, or at a stated drop from the top.', one_of: ['lift', 'below_max'], exclusive: true,
        fields: [
          cylinder, valve,
          {
            key: 'side', title: 'Flank', type: 'choice', required: true, default: 'opening', alternates: true,
            choices: [{ value: 'opening', title: 'Opening' }, { value: 'closing', title: 'Closing' }],
          },
          { key: 'lift', title: 'Lift from base circle', type: 'length', example: '0.050 in' },
          { key: 'below_max', title: 'Drop from the top', type: 'length', example: '0.050 in' },
          wheel, measuredAt, turning({ default: 'forward' }), repeats, pass, position, tool, dial,
        ],
      },
      {
        kind: 'lobe_top', title: 'Top of the lobe', says: 'Greatest lift, the wheel there, or both.', one_of: ['wheel', 'lift'],
        fields: [
          cylinder, valve, { ...wheel, required: false }, { key: 'lift', title: 'Greatest lift', type: 'length', example: '0.300 in' },
          measuredAt, turning({ default: 'forward' }), repeats, pass, position, tool, dial,
        ],
      },
      {
        kind: 'lobe_sweep', title: 'Sweep of a lobe', says: 'Lift against the wheel, 12 points or more.',
        fields: [
          cylinder, valve, { key: 'points', title: 'Wheel and lift', type: 'points', required: true }, measuredAt,
          turning({ default: 'forward' }), pass, position, tool, dial,
        ],
      },
      {
        kind: 'chain_slack', title: 'Timing slack', says: 'Crank angle turned before the cam follows.',
        fields: [{ key: 'slack', title: 'Slack', type: 'angle', required: true, example: '3 deg' }, pass, tool],
      },
    ],
    findings: [
      finding('cam.phase_error', 'Cam position, measured less wanted', 'Mean over the cylinders read; positive is retarded.', true),
      finding('cam.intake_centerline', 'Intake centreline', 'Crank degrees from overlap TDC to the centre of the intake lobe.', true),
      finding('cam.exhaust_centerline', 'Exhaust centreline', 'Crank degrees from the centre of the exhaust lobe to overlap TDC.'),
      finding('cam.lobe_separation', 'Lobe separation', 'Half the crank angle between the two lobe centres.'),
      finding('cam.advance', 'Advance', '(exhaust centreline - intake centreline) / 2; positive is advanced.'),
      finding('cam.duration', 'Duration', 'Crank degrees between opening and closing at the check lift.'),
      finding('cam.chain_slack', 'Timing slack', 'Crank degrees turned before the cam follows.'),
    ],
  },
];
