/** For everybody: no serious finding of axe-core, targets a glove can hit, nothing past the edge, light and dark. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { atTheBench, makeEngine, office, open, phone, small, station, takeLobePoint, takeStop } from './support.ts';

const at = atTheBench();
let id: string;
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const shots = process.env['FETTLE_SHOTS'];

beforeAll(async () => {
  id = await makeEngine(at.url, 'Invented 5.4');
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(station(at.url, id, 'tdc'));
  for (const [turning, wheel] of [['Forward', '340'], ['Backward', '21'], ['Forward', '340.5'], ['Backward', '23']] as const) await takeStop(page, turning, wheel);
  await page.goto(station(at.url, id, 'cam'));
  for (const [valve, side, wheel] of [['Intake', 'Opening', '3'], ['Intake', 'Closing', '222'], ['Exhaust', 'Opening', '137'], ['Exhaust', 'Closing', '355']] as const) {
    await takeLobePoint(page, { valve, side, lift: '0.050', wheel });
  }
  await page.waitForTimeout(800);
  await context.close();
});

interface Violation { id: string; impact: string; nodes: { target: string[]; failureSummary: string }[] }

async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  const found = await page.evaluate(async () => {
    const { axe: run } = globalThis as unknown as { axe: { run: (root: Document, options: object) => Promise<{ violations: unknown[] }> } };
    return (await run.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })).violations;
  });
  return (found as Violation[]).filter((one) => one.impact === 'serious' || one.impact === 'critical').flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.target.join(' ')} ${node.failureSummary}`));
}

/** What a finger is meant to hit and that is smaller than 44 px either way. */
const smallTargets = (page: Page): Promise<string[]> => page.evaluate(() =>
  [...document.querySelectorAll<HTMLElement>('button, a.button, nav a, select, summary, input:not([type=radio], [type=checkbox], [type=file])')]
    .filter((one) => one.checkVisibility() && !one.closest('.skip, dialog'))
    .map((one) => ({ box: one.getBoundingClientRect(), name: one.outerHTML.slice(0, 90) }))
    .filter(({ box }) => box.height < 43.5 || box.width < 43.5)
    .map(({ box, name }) => `${Math.round(box.width)}x${Math.round(box.height)} ${name}`));

const places = [['engines', '#/'], ['new', '#/new/layout'], ['overview', 'overview'], ['tdc', 'station/tdc'], ['cam', 'station/cam'], ['bench', 'bench/cam'], ['what-if', 'what-if'], ['pull', 'pull'], ['parts', 'parts'], ['history', 'history']] as const;
const screens = [['390', phone, 'light'], ['360', small, 'dark'], ['1440', office, 'light'], ['1440', office, 'dark']] as const;

describe.each(screens)('at %s px', (width, size, colorScheme) => {
  test.each(places)(`${colorScheme}: %s is sound`, async (name, where) => {
    const { context, page, watch } = await open(at.browser, at.url, size, 'Ada', { colorScheme });
    await page.goto(`${at.url}/${where.startsWith('#') ? where : `#/engine/${id}/${where}`}`);
    await page.locator('h1').first().waitFor();
    if (name === 'cam') await page.locator('.chart svg').waitFor();
    await page.waitForTimeout(250);
    if (shots) await page.screenshot({ path: `${shots}/${name}-${width}-${colorScheme}.png`, fullPage: true });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
    expect(await smallTargets(page)).toEqual([]);
    expect(await violations(page)).toEqual([]);
    expect(watch.complaints).toEqual([]);
    expect(watch.foreign).toEqual([]);
    await context.close();
  });
});

test('the person is asked for a name once', async () => {
  const context = await at.browser.newContext({ viewport: phone });
  const page = await context.newPage();
  await page.goto(at.url);
  const dialog = page.getByRole('dialog', { name: 'Who is at the bench?' });
  await dialog.waitFor();
  expect(await violations(page)).toEqual([]);
  if (shots) await page.screenshot({ path: `${shots}/who-390-light.png` });
  await dialog.getByLabel('Short name').fill('Ada');
  await dialog.getByRole('button', { name: 'Keep' }).click();
  await dialog.waitFor({ state: 'detached' });
  await page.reload();
  await page.getByRole('heading', { name: 'Engines' }).waitFor();
  expect(await dialog.count()).toBe(0);
  await context.close();
});

test('the skip link leads to the content and the whole station can be reached by keyboard', async () => {
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(station(at.url, id, 'tdc'));
  await page.locator('h1').waitFor();
  await page.keyboard.press('Tab');
  expect(await page.evaluate(() => document.activeElement?.textContent)).toContain('Skip');
  await page.keyboard.press('Enter');
  expect(await page.evaluate(() => document.activeElement?.id)).toBe('content');
  const reached = new Set<string>();
  for (let i = 0; i < 60; i += 1) {
    await page.keyboard.press('Tab');
    reached.add(await page.evaluate(() => (document.activeElement as HTMLElement).innerText || document.activeElement?.id || ''));
  }
  expect([...reached].some((one) => one.includes('Take reading'))).toBe(true);
  expect([...reached]).toContain('stop_contact-wheel');
  await context.close();
});
