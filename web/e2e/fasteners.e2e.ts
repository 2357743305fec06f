/** Rod bolts on the page: lengths before and tight make preloads, drawn with their doubt against proof and yield. */
import { expect, test } from 'vitest';
import { atTheBench, demo, open, phone, station } from './support.ts';

const at = atTheBench();
const shots = process.env['FETTLE_SHOTS'];

test('preloads are drawn against proof and yield, with their doubt', async () => {
  const stretches = [0.0055, 0.0058, 0.0056, 0.0061];
  const readings = stretches.flatMap((stretch, i) => [
    { id: `a${i}`, kind: 'bolt_length', fastener: 'rod bolts', number: i + 1, stage: 'before', size: '1.6500 in', gauge: 'micrometer' },
    { id: `b${i}`, kind: 'bolt_length', fastener: 'rod bolts', number: i + 1, stage: 'tight', size: `${(1.65 + stretch).toFixed(4)} in`, gauge: 'micrometer' },
  ]);
  const bolted = {
    ...demo('Bolted'), readings, tools: { micrometer: { kind: 'micrometer', resolution: '0.0001 in', permissible_error: '0.0001 in' } },
    fasteners: { 'rod bolts': { use: 'rod', diameter: '0.4375 in', pitch: '0.05 in', shank_diameter: '0.390 in', shank_length: '1.1 in', thread_length: '0.4 in', proof_strength: '170 ksi', yield_strength: '190 ksi', count: 4 } },
  };
  const made = await fetch(`${at.url}/api/engines`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document: bolted, by: 'test', device: 'test' }) });
  expect(made.status, await made.clone().text()).toBe(201);
  const { id } = (await made.json()) as { id: string };
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'fastener'));
  // The stiffness of shank and thread in series, E/(l_d/A_d + l_t/A_t) (Shigley, eq. 8-17), times the stretch: E 30 Mpsi.
  const area = 0.7854 * (0.4375 - 0.9743 * 0.05) ** 2;
  const stiffness = 207e9 / 6894.757 / (1.1 / ((Math.PI / 4) * 0.39 ** 2) + 0.4 / area);
  const picture = page.getByRole('img', { name: /^rod bolts, preload: 1: / });
  await picture.waitFor();
  const said = (await picture.getAttribute('aria-label')) ?? '';
  const first = Number(/1: (\d+) lb/.exec(said)?.[1]);
  expect(Math.abs(first / (stiffness * 0.0055) - 1)).toBeLessThan(0.01);
  expect(said).toContain('% of proof');
  expect(await picture.locator('path.proof').count()).toBe(1);
  expect(await picture.locator('path.doubt').count()).toBe(4);
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
  if (shots) await page.locator('figure', { has: picture }).screenshot({ path: `${shots}/fasteners-390.png` });
  expect(watch.complaints).toEqual([]);
  await context.close();
});
