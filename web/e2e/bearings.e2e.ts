/** A main journal and its bearing on the page: two diameters go in, the oil clearance comes out against its band, and is drawn. */
import { expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, open, phone, station, until } from './support.ts';

const at = atTheBench();

test('journal and bearing bore make an oil clearance, drawn with its band', async () => {
  const id = await makeEngine(at.url, 'Turned');
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'bottom_end'));
  const form = page.locator('form[aria-label^="New reading"]');
  await form.getByRole('textbox', { name: 'Diameter' }).fill('2.4480');
  await form.getByRole('textbox', { name: 'Diameter' }).press('Enter');
  await page.getByRole('button', { name: 'Bore with shells in' }).click();
  await form.getByRole('textbox', { name: 'Diameter' }).fill('2.4503');
  await form.getByRole('textbox', { name: 'Diameter' }).press('Enter');
  await until('both readings', async () => (await inLedger(at.url, id)).document.readings?.length === 2);
  expect((await inLedger(at.url, id)).document.readings?.[0]).toMatchObject({ kind: 'journal_diameter', main: 1, diameter: '2.4480 in' });
  const clearance = page.locator('article', { hasText: 'Oil clearance, mains' }).first();
  await clearance.getByText('0.0023').first().waitFor();
  await clearance.getByText('main 1').first().waitFor();
  await page.getByRole('heading', { name: 'Oil clearance of the mains' }).waitFor();
  await page.getByRole('img', { name: /^Oil clearance of the mains: main 1 0\.0023/ }).waitFor();
  expect(watch.complaints).toEqual([]);
  expect(watch.foreign).toEqual([]);
  await context.close();
});
