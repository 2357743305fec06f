/** The valve train at speed: map, lift as run and surge are drawn from the parts, at either size and in either system. */
import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { atTheBench, office, open, phone, station, until } from './support.ts';

const at = atTheBench();
const shots = process.env['FETTLE_SHOTS'];
let id: string;

beforeAll(async () => {
  const document = JSON.parse(readFileSync(new URL('../../examples/invented-odd-twin.json', import.meta.url), 'utf8')) as { name: string; valve_train: { redline: string } };
  document.name = 'Hurried twin';
  document.valve_train.redline = '7000 rpm';
  const response = await fetch(`${at.url}/api/engines`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document, by: 'test', device: 'test', change_key: crypto.randomUUID() }),
  });
  if (!response.ok) throw new Error(`making an engine: ${response.status} ${await response.text()}`);
  id = ((await response.json()) as { id: string }).id;
});

describe.each([['390', phone, 'light'], ['390', phone, 'dark'], ['1440', office, 'light'], ['1440', office, 'dark']] as const)('at %s px', (width, size, colorScheme) => {
  test(`${colorScheme}: three charts, told in words and read out`, async () => {
    const { context, page, watch } = await open(at.browser, at.url, size, 'Ada', { colorScheme });
    await page.goto(station(at.url, id, 'valve_train'));
    const map = page.locator('figure', { hasText: 'Contact over the crank' });
    await map.locator('.chart svg').waitFor({ timeout: 60_000 });
    await page.locator('figure', { hasText: 'Surge of the spring' }).locator('.chart svg').waitFor({ timeout: 60_000 });
    expect(await map.locator('.chart').getAttribute('aria-label')).toMatch(/contact opens at \d+ of 24 speeds, first at \d+ rpm; the redline is 7000 rpm/);
    // A forced row pointed at in its middle reads out its speed and its force, or that it is apart.
    const chart = map.locator('.chart');
    await chart.scrollIntoViewIfNeeded();
    const box = await chart.boundingBox();
    if (!box) throw new Error('no chart');
    await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.5);
    await until('the read-out of the map', async () => /\d+ rpm, .* deg/.test((await chart.textContent()) ?? ''));
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
    if (shots) await page.screenshot({ path: `${shots}/valve-train-${width}-${colorScheme}.png`, fullPage: true });
    expect(watch.complaints).toEqual([]);
    expect(watch.foreign).toEqual([]);
    await context.close();
  });
});

test('another speed and the other system change the lift as run', async () => {
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'valve_train'));
  const run = page.locator('figure', { hasText: 'Lift as run, 7000 rpm' });
  await run.locator('.chart svg').waitFor({ timeout: 60_000 });
  expect(await run.locator('.key').textContent()).toMatch(/0\.\d{4} in/);
  await page.getByRole('button', { name: /^Lengths in inches/ }).click();
  await until('millimetres', async () => /\d\.\d{3} mm/.test((await run.locator('.key').textContent()) ?? ''));
  await page.locator('select').filter({ hasText: 'redline' }).selectOption({ index: 0 });
  await page.locator('figure', { hasText: /Lift as run, 30\d\d rpm/ }).waitFor();
  await page.locator('figure', { hasText: /Lift as run, 30\d\d rpm/ }).getByText('no contact opens').waitFor();
  expect(watch.complaints).toEqual([]);
  await context.close();
});

test('the pull takes valves as they run where the build has a valve train', async () => {
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(`${at.url}/#/engine/${id}/pull`);
  await page.getByRole('checkbox', { name: /Valves as they run/ }).check();
  await page.getByRole('textbox', { name: 'From' }).fill('3000');
  await page.getByRole('textbox', { name: 'To' }).fill('3000');
  const asked = page.waitForRequest((request) => request.method() === 'POST' && request.url().endsWith('/pulls'));
  await page.getByRole('button', { name: 'Start the pull' }).click();
  expect((await asked).postDataJSON()).toMatchObject({ dynamic: true });
  expect(watch.complaints).toEqual([]);
  await context.close();
});

test('what is loaded first stays below 300 kB compressed', async () => {
  const { context, page } = await open(at.browser, at.url, phone);
  const sizes: Promise<number>[] = [];
  page.on('response', (response) => {
    if (['document', 'script', 'stylesheet', 'font', 'image'].includes(response.request().resourceType())) sizes.push(response.body().then((body) => gzipSync(body).length));
  });
  await page.goto(at.url);
  await page.getByRole('heading', { name: 'Engines' }).waitFor();
  expect((await Promise.all(sizes)).reduce((a, b) => a + b, 0)).toBeLessThan(300_000);
  await context.close();
});
