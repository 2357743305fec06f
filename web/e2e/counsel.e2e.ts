/** Counsel on the overview, and what has moved since an entry of the history. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { atTheBench, office, open, phone } from './support.ts';

const at = atTheBench();
const shots = process.env['FETTLE_SHOTS'];
let id: string;

beforeAll(async () => {
  const document = JSON.parse(readFileSync(new URL('../../examples/invented-twin-cam.json', import.meta.url), 'utf8')) as { name: string };
  document.name = 'Twin cam to mend';
  const response = await fetch(`${at.url}/api/engines`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document, by: 'test', device: 'test', change_key: crypto.randomUUID() }),
  });
  if (!response.ok) throw new Error(`making an engine: ${response.status} ${await response.text()}`);
  id = ((await response.json()) as { id: string }).id;
});

describe.each([['390', phone], ['1440', office]] as const)('at %s px', (width, size) => {
  test('the fewest corrections that mend everything, and each trouble by itself', async () => {
    const { context, page, watch } = await open(at.browser, at.url, size, 'Ada');
    await page.goto(`${at.url}/#/engine/${id}/overview`);
    const card = page.locator('section', { has: page.getByRole('heading', { name: 'What would mend it' }) });
    await card.waitFor();
    expect((await card.textContent())?.replaceAll(/\s+/g, ' ')).toContain('2 corrections together would make everything hold that is measured');
    expect(await card.locator('.steps li').count()).toBe(2);
    await card.getByText('One by one: 12 that do not hold').click();
    await card.locator('.each li').first().waitFor();
    expect(await card.locator('.each li').count()).toBe(12);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
    if (shots) await page.screenshot({ path: `${shots}/counsel-${width}.png`, fullPage: true });
    await card.locator('.steps a').first().click();
    await page.getByRole('heading', { name: 'What if' }).first().waitFor();
    expect(watch.complaints).toEqual([]);
    expect(watch.foreign).toEqual([]);
    await context.close();
  });

  test('the history tells what has moved since an entry', async () => {
    const { context, page, watch } = await open(at.browser, at.url, size, 'Ada');
    await page.goto(`${at.url}/#/engine/${id}/history`);
    await page.getByText('Findings since then').first().click();
    await page.getByText('No finding moves.').first().waitFor();
    expect(watch.complaints).toEqual([]);
    await context.close();
  });
});
