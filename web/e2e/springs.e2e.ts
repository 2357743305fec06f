/** A spring on the tester: its load in pounds goes in, its seat load comes out. */
import { expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, open, phone, station, until } from './support.ts';

const at = atTheBench();

test('a load at the installed height is taken and the seat load seen in either unit', async () => {
  const id = await makeEngine(at.url, 'Sprung');
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'spring'));
  const form = page.locator('form[aria-label^="New reading"]');
  await form.getByRole('textbox', { name: 'Spring height' }).fill('1.700');
  await form.getByRole('textbox', { name: 'Spring height' }).press('Enter');
  await page.getByRole('button', { name: 'Load at a height' }).click();
  for (const [height, load] of [['1.700', '118'], ['1.250', '266.5']] as const) {
    await form.getByRole('textbox', { name: 'Spring height' }).fill(height);
    await form.getByRole('textbox', { name: 'Load', exact: true }).fill(load);
    await form.getByRole('textbox', { name: 'Load', exact: true }).press('Enter');
  }
  await until('all readings', async () => (await inLedger(at.url, id)).document.readings?.length === 3);
  expect((await inLedger(at.url, id)).document.readings?.[1]).toMatchObject({ kind: 'spring_load', height: '1.700 in', load: '118 lb' });
  const seat = page.locator('article', { hasText: 'Seat load' }).first();
  await seat.getByText('118.0').waitFor();
  await page.getByRole('button', { name: /^Lengths in inches/ }).click();
  // 118 lb is 524.89 N.
  await seat.getByText(/^52[45]/).waitFor();
  await page.getByRole('heading', { name: 'Load against height' }).waitFor();
  expect(watch.complaints).toEqual([]);
  expect(watch.foreign).toEqual([]);
  await context.close();
});
