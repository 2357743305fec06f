/** What must not be lost at the bench: reload, undo, a second person, a cut network, a refused value. */
import { describe, expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, office, open, phone, station, takeStop, until } from './support.ts';

const at = atTheBench();

const wheels = async (id: string): Promise<(string | undefined)[]> => (await inLedger(at.url, id)).document.readings?.map((one) => one.wheel) ?? [];

test('a reading typed but not taken is still there after a reload', async () => {
  const id = await makeEngine(at.url);
  const { context, page } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'tdc'));
  await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).fill('34');
  await page.reload();
  expect(await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).inputValue()).toBe('34');
  await context.close();
});

test('Enter goes from field to field and takes the reading; the time to new findings is told', async () => {
  const id = await makeEngine(at.url);
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(station(at.url, id, 'tdc'));
  await page.locator('form[aria-label^="New reading"] [data-entry]').first().focus();
  await page.keyboard.press('Enter');
  await page.keyboard.press('Enter');
  await page.keyboard.type('340');
  await page.keyboard.press('Enter');
  await until('the first contact', async () => (await wheels(id)).length === 1);
  await page.keyboard.type('21');
  const times: number[] = [];
  for (const wheel of ['', '340.5', '20.5', '340', '21']) {
    if (wheel) await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).fill(wheel);
    const before = await page.evaluate(() => document.querySelector('.answer .value')?.textContent);
    const count = (await wheels(id)).length;
    const start = performance.now();
    await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
    await page.waitForFunction(([was, n]) => document.querySelector('.answer .value')?.textContent !== was || document.querySelectorAll('li[id^="reading-"]').length === n, [before, count + 1] as const, { polling: 'raf' });
    await until('in the ledger', async () => (await wheels(id)).length === count + 1);
    await page.waitForFunction(() => !document.body.textContent?.includes('waiting to be sent'), undefined, { polling: 'raf' });
    times.push(performance.now() - start);
  }
  const took = await page.locator('.answer').getAttribute('data-took');
  console.log(`typed reading to new findings: ${took} ms by the page itself; ${times.map((one) => Math.round(one)).join(', ')} ms seen by the test`);
  expect(Number(took)).toBeLessThan(1000);
  await context.close();
});

test('undo takes back the last change and redo makes it good, by key and by button', async () => {
  const id = await makeEngine(at.url);
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(station(at.url, id, 'tdc'));
  await takeStop(page, 'Forward', '340');
  await until('taken', async () => (await wheels(id)).length === 1);
  await page.locator('h1').click();
  await page.keyboard.press('Control+z');
  await until('undone', async () => (await wheels(id)).length === 0);
  await page.getByRole('button', { name: 'Redo' }).click();
  await until('redone', async () => (await wheels(id)).length === 1);
  await page.getByText('340 deg').first().waitFor();
  await context.close();
});

describe('two people', () => {
  test('see each other\u2019s readings at once, with the name of who changed them', async () => {
    const id = await makeEngine(at.url);
    const one = await open(at.browser, at.url, office, 'Ada');
    const two = await open(at.browser, at.url, phone, 'Ben');
    await one.page.goto(station(at.url, id, 'tdc'));
    await two.page.goto(station(at.url, id, 'tdc'));
    await two.page.getByRole('heading', { level: 1, name: 'True TDC' }).waitFor();
    await one.page.waitForTimeout(300);
    await takeStop(one.page, 'Forward', '340');
    await two.page.getByText('changed by Ada').waitFor({ timeout: 3000 });
    await one.context.close();
    await two.context.close();
  });

  test('who change the same reading are shown both values, and choose', async () => {
    const id = await makeEngine(at.url);
    const one = await open(at.browser, at.url, office, 'Ada');
    const two = await open(at.browser, at.url, phone, 'Ben');
    await one.page.goto(station(at.url, id, 'tdc'));
    await takeStop(one.page, 'Forward', '340');
    await until('taken', async () => (await wheels(id)).length === 1);
    await two.page.goto(station(at.url, id, 'tdc'));
    await two.page.getByRole('button', { name: /Edit reading 1/ }).click();
    // Ben loses the network, both change the wheel, Ben comes back.
    await two.context.setOffline(true);
    await two.page.locator('.edit').getByRole('textbox', { name: 'Wheel shows' }).fill('341');
    await two.page.locator('.edit').getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
    await one.page.getByRole('button', { name: /Edit reading 1/ }).click();
    await one.page.locator('.edit').getByRole('textbox', { name: 'Wheel shows' }).fill('339.5');
    await one.page.locator('.edit').getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
    await until('Ada was first', async () => (await wheels(id))[0] === '339.5 deg');
    await two.context.setOffline(false);
    const conflict = two.page.getByRole('alert', { name: 'Two people changed the same thing' });
    await conflict.waitFor({ timeout: 20_000 });
    expect(await conflict.textContent()).toContain('339.5 deg');
    expect(await conflict.textContent()).toContain('341 deg');
    expect(await conflict.textContent()).toContain('Ada');
    // A reload does not lose it.
    await two.page.reload();
    await conflict.waitFor();
    await conflict.getByRole('button', { name: 'Keep both' }).click();
    await until('both are kept', async () => (await wheels(id)).length === 2);
    expect(await wheels(id)).toEqual(['339.5 deg', '341 deg']);
    await conflict.waitFor({ state: 'detached' });
    await one.context.close();
    await two.context.close();
  });
});

test('readings typed while the network is away are said to wait, survive, and are sent when it is back', async () => {
  const id = await makeEngine(at.url);
  const { context, page } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'tdc'));
  await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).waitFor();
  await context.setOffline(true);
  await takeStop(page, 'Forward', '340');
  await takeStop(page, 'Backward', '21');
  await takeStop(page, 'Forward', '340.5');
  await page.getByText('3 readings waiting to be sent').waitFor({ timeout: 10_000 });
  expect(await wheels(id)).toEqual([]);
  // The page is closed and opened again in between.
  await context.setOffline(false);
  await page.goto('about:blank');
  await page.goto(station(at.url, id, 'tdc'));
  await until('all three are sent once', async () => (await wheels(id)).length === 3);
  await page.waitForTimeout(500);
  expect(await wheels(id)).toEqual(['340 deg', '21 deg', '340.5 deg']);
  await page.getByText('3 readings waiting to be sent').waitFor({ state: 'detached' });
  await context.close();
});

test('a refused value stays in its place with the reason, and is sent again when corrected', async () => {
  const id = await makeEngine(at.url);
  const { context, page } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'cam'));
  const form = page.locator('form[aria-label^="New reading"]');
  await form.getByRole('textbox', { name: 'Lift from base circle' }).fill('50 furlong');
  await form.getByRole('textbox', { name: 'Wheel shows' }).fill('3');
  await form.getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
  await page.getByText('Not taken in').waitFor();
  await page.reload();
  await page.getByText('Not taken in').waitFor();
  await page.locator('.edit').getByRole('textbox', { name: 'Lift from base circle' }).fill('50 thou');
  await page.locator('.edit').getByRole('textbox', { name: 'Lift from base circle' }).press('Enter');
  await until('the corrected reading is in', async () => (await wheels(id)).length === 1);
  await page.getByText('Not taken in').waitFor({ state: 'detached' });
  await context.close();
});
