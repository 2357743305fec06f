/**
 * A plausible report for page tests without the binary: midpoints and a fixed doubt. It proves nothing about an
 * engine; the true findings come from the stations of `fettle`.
 */
const degree = Math.PI / 180;
const inch = 0.0254;

const length = (text) => {
  const match = /^([-+\d./]+)\s*(in|thou|mm)$/.exec(String(text ?? '').trim());
  return match ? Number(match[1]) * { in: inch, thou: inch / 1000, mm: 0.001 }[match[2]] : undefined;
};
const angle = (text) => {
  const match = /^([-+\d.]+)\s*(deg|BTDC|ATDC|BBDC|ABDC)?$/.exec(String(text ?? '').trim());
  if (!match) return undefined;
  const x = Number(match[1]);
  return { BTDC: -x, ATDC: x, BBDC: 180 - x, ABDC: 180 + x }[match[2]] ?? x;
};
const wrap = (x) => ((((x + 180) % 360) + 360) % 360) - 180;
const mean = (list) => list.reduce((sum, x) => sum + x, 0) / list.length;
const open = (id, station, where, needs) => ({ id, station, where, unit: 'rad', value: null, verdict: 'open', needs });

function found(id, station, where, degrees, doubt, limit, readings, basis) {
  const inside = !limit || (degrees >= limit[0] && degrees <= limit[1]);
  const close = limit && limit.some((edge) => Math.abs(edge - degrees) < doubt);
  return {
    id, station, where, unit: 'rad', value: degrees * degree, u: (doubt / 2) * degree, dof: 12, expanded: doubt * degree, basis,
    ...(limit && { limit: { min: limit[0] * degree, max: limit[1] * degree, source: 'common practice, street pushrod' } }),
    verdict: limit ? (close ? 'too_close' : inside ? 'holds' : 'fails') : null,
    shares: [
      ...readings.map((reading) => ({ reading, label: 'wheel reading', share: 0.6 / readings.length })),
      { tool: 'wheel', label: 'parallax of the pointer', share: 0.4 },
    ],
  };
}

function tdc(document, report) {
  const contacts = document.readings
    .map((reading, index) => ({ reading: index, wheel: angle(reading.wheel), turning: reading.turning, cylinder: reading.cylinder, kind: reading.kind }))
    .filter((one) => one.kind === 'stop_contact' && one.wheel !== undefined);
  const sides = ['forward', 'backward'].map((side) => contacts.filter((one) => one.turning === side).map((one) => one.wheel));
  if (sides.some((side) => side.length === 0)) {
    report.findings.push(open('tdc.wheel', 'tdc', {}, 'a stop contact from each side'));
    report.next_reading = { says: `Turn ${sides[0].length === 0 ? 'forward' : 'backward'} to the stop and read the wheel`, station: 'tdc', tool: 'wheel', finding: 'tdc.wheel', where: {} };
    return undefined;
  }
  const first = sides[0][0];
  const centre = first + mean(sides[1].map((x) => wrap(x - first))) / 2 + mean(sides[0].map((x) => wrap(x - first))) / 2;
  const doubt = 0.5 / Math.sqrt(Math.min(sides[0].length, sides[1].length));
  report.findings.push(found('tdc.wheel', 'tdc', {}, centre, doubt, undefined, contacts.map((one) => one.reading)));
  report.pictures.tdc = {
    wheel_at_tdc: centre * degree, expanded: doubt * degree, counts: document.tools?.wheel?.counts ?? 'forward',
    contacts: contacts.map(({ kind, ...one }) => ({ ...one, wheel: one.wheel * degree })),
  };
  for (const side of sides) {
    if (Math.max(...side) - Math.min(...side) > 1) {
      report.mistakes.push({
        id: 'tdc.stops_disagree', station: 'tdc', cylinder: 1,
        readings: contacts.filter((one) => side.includes(one.wheel)).map((one) => one.reading),
        says: 'Contacts from the same side differ by more than their doubt: the wheel or the pointer has slipped, or the stop moved.',
        do_next: 'Tighten wheel, pointer and stop, then read the stop again from both sides.',
      });
    }
  }
  if (Math.min(sides[0].length, sides[1].length) < 2) {
    report.next_reading = { says: 'Read the stop again from both sides', station: 'tdc', reading: contacts[0].reading, tool: 'wheel', finding: 'tdc.wheel', where: {}, expanded_from: doubt * degree, expanded_to: (doubt / Math.SQRT2) * degree };
  }
  return centre;
}

/** An invented lobe: a raised cosine with the centre, half width and height asked for, in degrees and metres. */
function curve(centre, half, height) {
  const crank = [];
  const lift = [];
  for (let x = centre - half * 1.3; x <= centre + half * 1.3; x += 2) {
    const u = Math.abs(x - centre) / (half * 1.3);
    crank.push(x * degree);
    lift.push(height * Math.cos((Math.PI / 2) * Math.min(1, u)) ** 2.2);
  }
  return { crank, lift };
}

function lobe(document, report, zero, cylinder, valve, phase) {
  const mine = document.readings
    .map((reading, index) => ({ ...reading, index }))
    .filter((one) => one.cylinder === cylinder && one.valve === valve && one.kind === 'lobe_point');
  const sides = ['opening', 'closing'].map((side) => mine.filter((one) => one.side === side && angle(one.wheel) !== undefined));
  const sweep = document.readings.findIndex((one) => one.kind === 'lobe_sweep' && one.cylinder === cylinder && one.valve === valve);
  const guess = valve === 'intake' ? 108 : -112;
  const local = (text) => guess + wrap(angle(text) - zero - phase - guess);
  let centre;
  let half = 109;
  let points = [];
  if (sides.every((side) => side.length > 0)) {
    const [opening, closing] = sides.map((side) => mean(side.map((one) => local(one.wheel))));
    centre = (opening + closing) / 2;
    half = Math.max(20, (closing - opening) / 2);
    points = mine.map((one) => [local(one.wheel) * degree, length(one.lift) ?? 0.0076 - (length(one.below_max) ?? 0)]);
  } else if (sweep >= 0) {
    points = document.readings[sweep].points.map(([w, l]) => [local(w) * degree, length(l)]);
    const weight = points.reduce((sum, [, l]) => sum + l, 0);
    centre = points.reduce((sum, [x, l]) => sum + (x * l) / degree, 0) / weight;
  } else {
    return undefined;
  }
  const shape = curve(centre, half, 0.00762);
  report.pictures.cam.lobes.push({
    cylinder, valve, ...shape, points, top: { crank: centre * degree, lift: 0.00762 },
    events: [{ at: 0.00127, opening: (centre - half) * degree, closing: (centre + half) * degree }],
  });
  return { centre, half, readings: mine.map((one) => one.index) };
}

function cam(document, report, zero) {
  report.pictures.cam = { lobes: [], card: [] };
  const card = document.cam?.card ?? {};
  const wanted = angle(document.cam?.wanted_centerline ?? card.intake?.centerline) ?? 108;
  for (const [valve, sign] of [['intake', 1], ['exhaust', -1]]) {
    const centre = angle(card[valve]?.centerline);
    const half = (angle(card[valve]?.durations?.[0]?.duration) ?? 218) / 2;
    if (centre !== undefined) {
      report.pictures.cam.card.push({ valve, ...curve(sign * centre, half, length(card[valve]?.lift) ?? 0.0075), synthesised: true, events: [{ at: 0.00127, opening: (sign * centre - half) * degree, closing: (sign * centre + half) * degree }] });
    }
  }
  const order = document.engine.firing_order;
  const cylinders = [...new Set([1, ...document.readings.map((one) => one.valve && one.cylinder).filter(Boolean)])].sort((a, b) => a - b);
  const errors = [];
  for (const cylinder of cylinders) {
    const phase = (order.indexOf(cylinder) * 720) / order.length;
    const [intake, exhaust] = zero === undefined ? [] : ['intake', 'exhaust'].map((valve) => lobe(document, report, zero, cylinder, valve, phase));
    const where = { cylinder };
    const needs = (valve) => `two flank readings or a sweep of the ${valve} lobe of cylinder ${cylinder}`;
    if (intake) {
      errors.push(intake.centre - wanted);
      report.findings.push(found('cam.intake_centerline', 'cam', where, intake.centre, 0.6, [wanted - 2, wanted + 2], intake.readings, 'midpoint at 0.050 in'));
      report.findings.push(found('cam.duration', 'cam', { cylinder, valve: 'intake', at: 0.00127 }, 2 * intake.half, 0.9, undefined, intake.readings));
      if (Math.abs(wrap(intake.centre - wanted)) > 60) {
        report.mistakes.push({ id: 'cam.wrong_cylinder', station: 'cam', cylinder, readings: intake.readings, says: `The intake lobe of cylinder ${cylinder} lies far from where the firing order puts it: these readings look like another cylinder's.`, do_next: 'Check which lifter the indicator stands on.' });
      }
    } else report.findings.push(open('cam.intake_centerline', 'cam', where, zero === undefined ? 'true TDC' : needs('intake')));
    if (exhaust) report.findings.push(found('cam.exhaust_centerline', 'cam', where, -exhaust.centre, 0.6, undefined, exhaust.readings, 'midpoint at 0.050 in'));
    else report.findings.push(open('cam.exhaust_centerline', 'cam', where, needs('exhaust')));
    if (intake && exhaust) report.findings.push(found('cam.lobe_separation', 'cam', where, (intake.centre - exhaust.centre) / 2, 0.4, [109, 112], [...intake.readings, ...exhaust.readings]));
  }
  if (errors.length === 0) {
    report.findings.push(open('cam.phase_error', 'cam', {}, 'an intake centreline'));
    report.next_reading ??= { says: 'Read the intake lobe of cylinder 1 at 0.050 in, opening and closing', station: 'cam', tool: 'dial', finding: 'cam.intake_centerline', where: { cylinder: 1 } };
    return;
  }
  const error = mean(errors);
  report.findings.push(found('cam.phase_error', 'cam', {}, error, 0.6, [-2, 2], []));
  const fitted = angle(document.timing_set?.fitted) ?? 0;
  for (const position of document.timing_set?.positions ?? []) {
    const after = error - (angle(position) - fitted);
    if (angle(position) === fitted || Math.abs(after) > Math.abs(error) - 0.5) continue;
    report.corrections.push({
      id: 'cam.position', station: 'cam', recommended: true, says: `${angle(position) > fitted ? 'Advance' : 'Retard'} the cam ${Math.abs(angle(position) - fitted)} deg`,
      operations: [{ path: '/timing_set/fitted', value: position }],
      effects: [{ id: 'cam.phase_error', where: {}, unit: 'rad', from: { value: error * degree, expanded: 0.6 * degree, verdict: Math.abs(error) > 2.6 ? 'fails' : 'too_close' }, to: { value: after * degree, expanded: 0.6 * degree, verdict: Math.abs(after) < 1.4 ? 'holds' : 'too_close' } }],
    });
  }
}

export function prove(document) {
  const report = { findings: [], mistakes: [], corrections: [], next_reading: null, assumptions: ['Centrelines are the midpoint at 0.050 in lift.'], pictures: { tdc: null, cam: null } };
  const whole = { readings: [], ...document };
  const zero = tdc(whole, report);
  cam(whole, report, zero);
  return report;
}

/** What the true server would refuse; enough of it to test the page's way with a refusal. */
export function problemsOf(document) {
  const problems = [];
  (document.readings ?? []).forEach((reading, i) => {
    for (const key of ['wheel']) if (reading[key] !== undefined && angle(reading[key]) === undefined) problems.push({ place: `readings[${i}].${key}`, given: `"${reading[key]}"`, accepted: 'degrees as the wheel shows them', example: '"41 deg"' });
    for (const key of ['lift', 'below_max', 'drop', 'stop_depth']) if (reading[key] !== undefined && !(length(reading[key]) > 0 && length(reading[key]) <= 0.5)) problems.push({ place: `readings[${i}].${key}`, given: `"${reading[key]}"`, accepted: 'more than nothing, at most 50 mm', example: '"0.050 in"' });
  });
  for (const key of ['bore', 'stroke', 'rod_length']) if (!(length(document.engine?.[key]) > 0)) problems.push({ place: `engine.${key}`, given: `"${document.engine?.[key] ?? ''}"`, accepted: 'a length with its unit', example: '"3.386 in"' });
  return problems;
}
