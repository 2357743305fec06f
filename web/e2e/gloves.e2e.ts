/** Bench mode: large keys, spoken confirmation, one tap to take and one to take back, thousandths asked, space bar. */
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, office, open, phone, small, station, until, type Held } from './support.ts';

const at = atTheBench();
/** A glove's 15 mm on a phone whose 360 px are 65 mm wide. */
const glove = Math.floor((15 / 65) * 360);

type Reading = NonNullable<Held['document']['readings']>[number] & { turning?: string; lift?: string; side?: string };
const readings = async (id: string): Promise<Reading[]> => (await inLedger(at.url, id)).document.readings ?? [];

/** What the browser was asked to say is kept by the page's window; the screen lock is counted. */
async function listening(size: typeof phone, id: string, where: string): Promise<{ page: Page; close: () => Promise<void>; said: () => Promise<string[]>; complaints: string[] }> {
  const { context, page, watch } = await open(at.browser, at.url, size);
  await page.addInitScript(() => {
    const heard: string[] = [];
    Object.assign(globalThis, { heard, locks: 0 });
    Object.defineProperty(globalThis, 'speechSynthesis', { value: { speak: (words: { text: string }) => heard.push(words.text), cancel: () => undefined } });
    Object.defineProperty(navigator, 'wakeLock', {
      value: { request: () => {
        (globalThis as unknown as { locks: number }).locks += 1;
        return Promise.resolve({ addEventListener: () => undefined, release: () => Promise.resolve() });
      } },
    });
  });
  await page.goto(station(at.url, id, where));
  await page.getByRole('link', { name: 'Bench mode' }).click();
  await page.getByRole('button', { name: /^Start reading/ }).waitFor();
  return { page, close: () => context.close(), said: () => page.evaluate(() => (globalThis as unknown as { heard: string[] }).heard), complaints: watch.complaints };
}

const start = (page: Page): Promise<void> => page.getByRole('button', { name: /^Start reading/ }).click();

const tap = async (page: Page, ...names: string[]): Promise<void> => {
  for (const name of names) await page.getByRole('button', { name, exact: true }).click();
};

test.each([['390', phone], ['360', small]] as const)('at %s px every key takes a glove and the digits fill the screen, without scrolling', async (_, size) => {
  const id = await makeEngine(at.url);
  const { page, close, complaints } = await listening(size, id, 'tdc');
  expect(await page.getByRole('region', { name: 'Cautions' }).isVisible()).toBe(true);
  expect(await page.evaluate(() => (globalThis as unknown as { locks: number }).locks)).toBe(1);
  for (const view of ['what is read', 'digits', 'units']) {
    const boxes = await page.locator('button:visible').evaluateAll((all) => all.map((one) => ({ name: one.textContent, width: one.getBoundingClientRect().width, height: one.getBoundingClientRect().height })));
    expect(boxes.length, view).toBeGreaterThan(3);
    expect(boxes.filter(({ width, height }) => width < glove || height < glove), view).toEqual([]);
    if (view === 'what is read') {
      await start(page);
      await tap(page, '3', '4', '0');
    }
    if (view === 'digits') {
      expect(await page.evaluate(() => document.documentElement.scrollHeight - innerHeight)).toBeLessThanOrEqual(0);
      // Letters of 1/200 of the distance are read with ease (common practice): 10 mm at two metres; a digit is 0.7 of its letters' size.
      const letters = await page.locator('output').evaluate((one) => Number.parseFloat(getComputedStyle(one).fontSize));
      expect((letters * 0.7 * 65) / 360).toBeGreaterThanOrEqual(10);
      await page.getByRole('button', { name: /^Unit/ }).click();
    }
  }
  expect(complaints).toEqual([]);
  await close();
});

test('a reading is taken by one tap, said aloud, and taken back by one tap', async () => {
  const id = await makeEngine(at.url);
  const { page, close, said } = await listening(phone, id, 'tdc');
  await start(page);
  await tap(page, '3', '4', '1', 'Rub out', '0', 'Take');
  await until('taken', async () => (await readings(id)).length === 1);
  expect((await readings(id))[0]).toMatchObject({ kind: 'stop_contact', wheel: '340 deg', turning: 'forward' });
  expect((await said()).some((line) => line.startsWith('340 degrees') && line.includes('Taken') && line.includes('backward'))).toBe(true);
  await page.getByText(/backward/).first().waitFor();
  await tap(page, '2', '1', 'Take');
  await until('the other side', async () => (await readings(id)).length === 2);
  await page.getByText(/True TDC on the wheel 0\.\d+ ± /).first().waitFor();
  await tap(page, 'Undo');
  await until('taken back', async () => (await readings(id)).length === 1);
  await page.getByRole('button', { name: /^Now: .*backward/ }).waitFor();
  // What is missing is said, not taken.
  await tap(page, 'Take');
  await page.getByText('Wheel shows is needed').waitFor();
  await tap(page, 'Overshot');
  await page.getByText('Back up well past the place').waitFor();
  expect(await readings(id)).toHaveLength(1);
  // Without the voice nothing more is said, also after a reload.
  await page.getByRole('button', { name: /^Now/ }).click();
  await tap(page, 'Voice is on');
  await page.reload();
  await start(page);
  await tap(page, '2', '1', 'Take');
  await until('taken again', async () => (await readings(id)).length === 2);
  expect(await said()).toEqual([]);
  await close();
});

test('a bare 50 is asked for, then kept as typed, and the space bar captures', async () => {
  const id = await makeEngine(at.url);
  const { page, close, complaints } = await listening(office, id, 'cam');
  await page.keyboard.press('Space');
  await page.getByText('Lift from base circle').first().waitFor();
  await page.keyboard.type('50');
  await page.keyboard.press('Space');
  await page.getByText('You typed 50. Is that 0.050 in?').waitFor();
  await tap(page, 'Yes: 0.050 in');
  await page.getByText('Wheel shows').first().waitFor();
  await page.keyboard.type('3.5');
  await page.keyboard.press('Space');
  await until('taken', async () => (await readings(id)).length === 1);
  expect((await readings(id))[0]).toMatchObject({ lift: '50 thou', wheel: '3.5 deg', side: 'opening' });
  // The lift stays, the flank turns over: the next takes the wheel alone.
  await page.keyboard.type('222');
  await page.keyboard.press('Space');
  await until('the closing flank', async () => (await readings(id)).length === 2);
  expect((await readings(id))[1]).toMatchObject({ lift: '50 thou', wheel: '222 deg', side: 'closing' });
  await page.keyboard.press('Escape');
  await page.getByRole('heading', { level: 1, name: 'Cam timing' }).waitFor();
  expect(complaints).toEqual([]);
  await close();
});

test('without a network a reading is kept, and taken back before it was sent', async () => {
  const id = await makeEngine(at.url);
  const { page, close } = await listening(phone, id, 'tdc');
  await page.context().setOffline(true);
  await start(page);
  await tap(page, '3', '4', '0', 'Take', '2', '1', 'Take');
  await page.getByText('2 waiting to be sent').waitFor();
  await tap(page, 'Undo');
  await page.context().setOffline(false);
  await until('only the first arrives', async () => (await readings(id)).length === 1);
  await page.waitForTimeout(500);
  expect((await readings(id)).map(({ wheel }) => wheel)).toEqual(['340 deg']);
  await close();
});
