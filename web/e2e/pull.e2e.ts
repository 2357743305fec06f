/** The pull on the page: a short one of the example V8 is run, seen to go on, and read; another is cancelled. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, office, open, phone, small, until } from './support.ts';

const at = atTheBench();
const shots = process.env['FETTLE_SHOTS'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
let v8: string;

beforeAll(async () => {
  const document: unknown = JSON.parse(readFileSync(new URL('../../examples/invented-v8.json', import.meta.url), 'utf8'));
  const made = await fetch(`${at.url}/api/engines`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document, by: 'test', device: 'test' }) });
  v8 = ((await made.json()) as { id: string }).id;
});

/** The view is fetched when it is first opened, and the machine may be at other work. */
const patient = { timeout: 60_000 };

const pullPage = (id: string): string => `${at.url}/#/engine/${id}/pull`;

async function set(page: Page, from: string, to: string, step: string): Promise<void> {
  const setUp = page.locator('details', { hasText: /Set it up|Another pull/ }).first();
  if ((await setUp.getAttribute('open')) === null) await setUp.locator('summary').first().click();
  await page.getByRole('textbox', { name: 'From' }).fill(from);
  await page.getByRole('textbox', { name: 'To', exact: true }).fill(to);
  await page.getByRole('textbox', { name: 'Every' }).fill(step);
}

interface Violation { id: string; impact: string; nodes: { target: string[]; failureSummary: string }[] }
async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  const found = await page.evaluate(async () => {
    const { axe: run } = globalThis as unknown as { axe: { run: (root: Document, options: object) => Promise<{ violations: unknown[] }> } };
    return (await run.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })).violations;
  });
  return (found as Violation[]).flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.target.join(' ')} ${node.failureSummary}`));
}

const past = (page: Page): Promise<number> => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);

test('a pull is set up, started, seen to go on, and read as figures, curves and table; a change of the build makes it old', async () => {
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(pullPage(v8));
  await page.getByText('A prediction.', { exact: true }).waitFor(patient);
  await page.getByRole('button', { name: 'Start the pull' }).waitFor(patient);
  expect(await violations(page)).toEqual([]);
  if (shots) await page.screenshot({ path: `${shots}/pull-empty-390.png`, fullPage: true });
  await set(page, '2000', '5000', '500');
  await page.getByRole('radio', { name: 'Cam positions' }).check();
  await page.getByRole('textbox', { name: 'Cam positions' }).fill('-4, 0, 4');
  await page.getByText('21 points').waitFor();
  const began = Date.now();
  await page.getByRole('button', { name: 'Start the pull' }).click();
  await page.getByRole('button', { name: 'Cancel' }).waitFor();
  await page.getByText(/[1-9]\d* of 21 points/).waitFor({ timeout: 60_000 });
  console.info(`first progress of a pull after ${Date.now() - began} ms`);
  await page.getByRole('heading', { name: 'So far' }).waitFor();
  if (shots) await page.screenshot({ path: `${shots}/pull-running-390.png`, fullPage: true });
  await page.getByText('Most torque').first().waitFor({ timeout: 110_000 });
  await page.getByRole('img', { name: /^Predicted torque against engine speed/ }).locator('svg').waitFor();
  await page.getByRole('heading', { name: 'Torque against the cam' }).waitFor();
  await page.getByRole('img', { name: /^Pressures in the ports of cylinder 1/ }).locator('svg').waitFor();
  const list = (await (await fetch(`${at.url}/api/engines/${v8}/pulls`)).json()) as { pulls: { id: string }[] };
  const pull = (await (await fetch(`${at.url}/api/pulls/${list.pulls[0]?.id ?? ''}`)).json()) as { results: { points: { brake_torque: number; speed: number }[] }[] };
  const first = pull.results[0]?.points ?? [];
  const most = first.reduce((a, b) => (b.brake_torque > a.brake_torque ? b : a));
  const figures = page.locator('section', { has: page.getByText('Most torque') }).first();
  expect((await figures.textContent())?.replace(/\s+/g, ' ')).toContain(`${Math.round(most.brake_torque / 1.3558179483)} lb ft at ${Math.round((most.speed * 30) / Math.PI)} rpm`);
  const table = page.getByRole('region', { name: /^All figures/ }).locator('tbody tr');
  expect(await table.count()).toBe(7);
  expect(await past(page)).toBeLessThanOrEqual(0);
  expect(await violations(page)).toEqual([]);
  if (shots) await page.screenshot({ path: `${shots}/pull-390.png`, fullPage: true });
  // Another's change while one looks.
  const { version, document } = await inLedger(at.url, v8);
  const changed = await fetch(`${at.url}/api/engines/${v8}/changes`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ base: version, by: 'Eve', device: 'other', operations: [{ path: '/exhaust/primary_length', value: '34 in' }] }),
  });
  expect(changed.status, JSON.stringify(document.timing_set)).toBe(200);
  await page.getByText('Of an older version of this build.').waitFor();
  expect(watch.complaints).toEqual([]);
  expect(watch.foreign).toEqual([]);
  await context.close();
});

describe.each([['360 dark', small, 'dark'], ['1440 light', office, 'light'], ['1440 dark', office, 'dark']] as const)('at %s', (name, size, colorScheme) => {
  test('the result stands there again, within the edges, and is sound', async () => {
    const { context, page, watch } = await open(at.browser, at.url, size, 'Ada', { colorScheme });
    await page.goto(pullPage(v8));
    await page.getByText('Most torque').first().waitFor(patient);
    await page.getByRole('img', { name: /^Pressure in cylinder 1/ }).first().locator('svg').waitFor();
    await page.waitForTimeout(400);
    expect(await past(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    if (shots) await page.screenshot({ path: `${shots}/pull-${name.replace(' ', '-')}.png`, fullPage: true });
    expect(watch.complaints).toEqual([]);
    expect(watch.foreign).toEqual([]);
    await context.close();
  });
});

test('torque against the cam shows the room the pistons leave, in metric units, with the band of the readings', async () => {
  const document: unknown = JSON.parse(readFileSync(new URL('../../examples/invented-v8-full.json', import.meta.url), 'utf8'));
  const made = await fetch(`${at.url}/api/engines`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document, by: 'test', device: 'test' }) });
  const { id } = (await made.json()) as { id: string };
  const { context, page, watch } = await open(at.browser, at.url, office);
  await page.goto(pullPage(id));
  await page.getByRole('button', { name: 'Lengths in inches; change to millimetres' }).click();
  await page.getByRole('button', { name: 'Start the pull' }).waitFor(patient);
  await set(page, '3000', '4500', '1500');
  await page.getByRole('radio', { name: 'Cam positions' }).check();
  await page.getByRole('textbox', { name: 'Cam positions' }).fill('-24, 0, 8');
  await page.getByRole('checkbox', { name: /doubt of the readings/ }).check();
  await page.getByRole('button', { name: 'Start the pull' }).click();
  await page.getByText('Most torque').first().waitFor({ timeout: 110_000 });
  await page.getByRole('heading', { name: 'Torque against the cam' }).waitFor();
  await page.getByText(/Shaded: valve to piston allows .* deg/).waitFor();
  await page.getByText('Band: what the doubt of the readings comes to').waitFor();
  // Some 20 degrees are allowed either way: one of those run is beyond.
  expect(await page.getByText('Valve to piston does not allow the cam here').count()).toBe(1);
  await page.getByRole('region', { name: /^Cam 24/ }).getByText('does not allow').waitFor();
  const figures = await page.locator('section', { has: page.getByText('Most torque') }).first().textContent();
  expect(figures?.replace(/\s+/g, ' ')).toMatch(/\d+ N m at \d+ rpm.*(\u00b1 [\d.]+|under 0.1) from the readings.*\d+ kW/);
  await page.waitForTimeout(400);
  if (shots) await page.screenshot({ path: `${shots}/pull-cam-1440.png`, fullPage: true });
  expect(await violations(page)).toEqual([]);
  expect(watch.complaints).toEqual([]);
  expect(watch.foreign).toEqual([]);
  await context.close();
});

test('a pull is cancelled; a reading typed while it runs is answered', async () => {
  const { context, page, watch } = await open(at.browser, at.url, office);
  await page.goto(pullPage(v8));
  await page.getByText('Most torque').first().waitFor(patient);
  await set(page, '1500', '6500', '50');
  await page.getByRole('button', { name: 'Start the pull' }).click();
  await page.getByText(/[1-9]\d* of 101 points/).waitFor({ timeout: 60_000 });
  const took: number[] = [];
  for (let i = 0; i < 5; i += 1) {
    const { version } = await inLedger(at.url, v8);
    const from = Date.now();
    const answer = await fetch(`${at.url}/api/engines/${v8}/changes`, {
      method: 'POST', headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ base: version, by: 'Eve', device: 'other', operations: [{ path: '/readings/r1/wheel', value: `${340 + i / 10} deg` }] }),
    });
    expect(answer.status).toBe(200);
    took.push(Date.now() - from);
  }
  console.info(`a reading's change while a pull runs, ms: ${took.join(', ')}`);
  await page.getByRole('button', { name: 'Cancel' }).click();
  await page.getByText('Cancelled; nothing was kept of it.').waitFor();
  expect(await page.getByText('Most torque').first().isVisible(), 'the last result stays in sight').toBe(true);
  expect(watch.complaints).toEqual([]);
  await context.close();
});

test('what a build lacks is named, with the way there', async () => {
  const id = await makeEngine(at.url, 'Bare');
  const { document, version } = await inLedger(at.url, id);
  expect(document).toHaveProperty('cam');
  await fetch(`${at.url}/api/engines/${id}/changes`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ base: version, operations: [{ path: '/cam' }] }) });
  const { context, page } = await open(at.browser, at.url, phone);
  await page.goto(pullPage(id));
  await page.getByRole('heading', { name: 'The build does not say yet what a pull needs' }).waitFor();
  await page.getByText('cam.card').waitFor();
  expect(await page.getByRole('button', { name: 'Start the pull' }).isDisabled()).toBe(true);
  if (shots) await page.screenshot({ path: `${shots}/pull-lacks-390.png`, fullPage: true });
  await page.getByRole('link', { name: 'Cam timing' }).last().click();
  await page.getByRole('heading', { level: 1, name: 'Cam timing' }).waitFor();
  await context.close();
});

test('it is reached and run by keys alone, and what is wrong with the settings is said', async () => {
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(`${at.url}/#/engine/${v8}/overview`);
  await page.getByRole('link', { name: 'Pull', exact: true }).first().focus();
  await page.keyboard.press('Enter');
  await page.getByRole('heading', { level: 1, name: 'Pull' }).waitFor();
  await page.getByText('Most torque').first().waitFor(patient);
  await set(page, '3000', '3000', '500');
  await page.getByRole('textbox', { name: 'From' }).fill('fast');
  await page.getByRole('button', { name: 'Start the pull' }).focus();
  await page.keyboard.press('Enter');
  await page.getByText('From is a whole number of rpm, 200 to 20000.').waitFor();
  await page.getByRole('textbox', { name: 'From' }).fill('3000');
  await page.getByRole('button', { name: 'Start the pull' }).focus();
  await page.keyboard.press('Enter');
  await until('it is done', async () => {
    const { pulls } = (await (await fetch(`${at.url}/api/engines/${v8}/pulls`)).json()) as { pulls: { state: string; total: number }[] };
    return pulls[0]?.state === 'done' && pulls[0].total === 1;
  }, 60_000);
  await page.getByText('3000 rpm, As it is').first().waitFor();
  await context.close();
});
