/** The whole thread of the work, on a phone and on a screen in the office. */
import { describe, expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, office, open, phone, station, takeLobePoint, takeStop, until } from './support.ts';

const at = atTheBench();

describe.each([['phone', phone], ['office', office]] as const)('on a screen of the %s', (_, size) => {
  test('an engine goes from its layout to an answer, and nothing is asked of another host', async () => {
    const { context, page, watch } = await open(at.browser, at.url, size);
    await page.goto(`${at.url}/#/new/layout`);
    await page.getByRole('button', { name: 'Pushrod V8' }).click();
    const name = `Thread ${size.width}`;
    await page.getByLabel('Name on the bench').fill(name);
    await page.getByRole('textbox', { name: 'Bore' }).fill('100 mm');
    await page.getByRole('textbox', { name: 'Stroke' }).fill('3.386');
    await page.getByRole('textbox', { name: 'Rod length' }).fill('5.85');
    await page.getByRole('button', { name: 'Put it on the bench' }).click();
    await page.getByRole('heading', { level: 1, name }).waitFor();
    const id = /engine\/([^/]+)/.exec(page.url())?.[1] ?? '';

    // Parts and tools: what the card says, and what the wheel can be read to.
    await page.goto(`${at.url}/#/engine/${id}/parts`);
    await page.getByRole('textbox', { name: 'Intake centreline', exact: true }).fill('108');
    await page.getByRole('textbox', { name: 'Intake centreline', exact: true }).press('Tab');
    await page.getByRole('textbox', { name: 'Positions it offers' }).fill('-4, 0, 4');
    await page.getByRole('textbox', { name: 'Positions it offers' }).press('Tab');
    await until('the timing set is in the ledger', async () => JSON.stringify(await inLedger(at.url, id)).includes('"-4 deg"'));
    await page.getByLabel('Fitted now').selectOption('0 deg');

    // True TDC: two contacts, read from both sides, twice.
    await page.goto(`${at.url}/#/engine/${id}/station/tdc`);
    await takeStop(page, 'Forward', '340');
    await takeStop(page, 'Backward', '21');
    await page.getByRole('heading', { name: 'True TDC on the wheel' }).waitFor();
    await takeStop(page, 'Forward', '340.5 deg');
    await takeStop(page, 'Backward', '20.5');
    await until('four contacts are in the ledger', async () => (await inLedger(at.url, id)).document.readings?.length === 4);
    expect((await inLedger(at.url, id)).document.readings?.map((one) => one.wheel)).toEqual(['340 deg', '21 deg', '340.5 deg', '20.5 deg']);
    await page.getByRole('img', { name: /Degree wheel with cylinder 1/ }).waitFor();

    // Cam timing: both lobes of cylinder 1 at 0.050 in.
    await page.goto(`${at.url}/#/engine/${id}/station/cam`);
    await takeLobePoint(page, { valve: 'Intake', side: 'Opening', lift: '0.050', wheel: '3' });
    await takeLobePoint(page, { valve: 'Intake', side: 'Closing', lift: '0.050', wheel: '37 ABDC' });
    await takeLobePoint(page, { valve: 'Exhaust', side: 'Opening', lift: '0.050', wheel: '137' });
    await takeLobePoint(page, { valve: 'Exhaust', side: 'Closing', lift: '0.050', wheel: '355' });
    await until('the lobe points are in the ledger', async () => (await inLedger(at.url, id)).document.readings?.length === 8);
    const answer = page.locator('section', { has: page.getByRole('heading', { name: 'Findings' }) });
    await answer.getByText('Intake centreline').first().waitFor();
    await answer.getByText(/holds|fails|too close/).first().waitFor();
    await page.locator('.chart svg').waitFor();

    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(wide, 'nothing reaches past the edge of the screen').toBeLessThanOrEqual(0);
    expect(watch.foreign).toEqual([]);
    expect(watch.complaints).toEqual([]);
    await context.close();
  });
});

test('the first load stays below 400 kB compressed, and the answer is timed', async () => {
  const { context, page } = await open(at.browser, at.url, phone);
  const session = await context.newCDPSession(page);
  await session.send('Network.enable');
  let bytes = 0;
  session.on('Network.loadingFinished', (event) => { bytes += event.encodedDataLength; });
  await page.goto(at.url);
  await page.getByRole('heading', { name: 'Engines' }).waitFor();
  await page.waitForTimeout(500);
  console.log(`first load: ${Math.round(bytes / 1000)} kB over the wire`);
  expect(bytes).toBeGreaterThan(10_000);
  expect(bytes).toBeLessThan(400_000);
  await context.close();
});

test('a pasted sweep is counted, kept pair by pair, and shown in inches or millimetres at a touch', async () => {
  const id = await makeEngine(at.url);
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'tdc'));
  await takeStop(page, 'Forward', '340');
  await takeStop(page, 'Backward', '20');
  await page.goto(station(at.url, id, 'cam'));
  await page.getByRole('button', { name: 'Sweep of a lobe' }).click();
  const lifts = Array.from({ length: 25 }, (_, i) => `${8 + i * 8}\t${(0.3 * Math.sin((Math.PI * (i + 0.5)) / 25) ** 2).toFixed(4)}`);
  await page.locator('textarea').fill(['wheel\tlift', ...lifts].join('\n'));
  await page.getByText('25 points').waitFor();
  await page.getByText('Not understood: line 1').waitFor();
  await page.getByRole('button', { name: 'Take reading' }).click();
  await until('the sweep is in the ledger', async () => (await inLedger(at.url, id)).document.readings?.length === 3);
  const sweep = (await inLedger(at.url, id)).document.readings?.[2] as { points?: [string, string][] } | undefined;
  expect(sweep?.points).toHaveLength(25);
  expect(sweep?.points?.[0]).toEqual(['8 deg', `${lifts[0]?.split('\t')[1]} in`]);
  await page.locator('.chart svg').waitFor();
  await page.locator('.chart svg').getByText('lift, in').waitFor();
  await page.getByRole('button', { name: /Lengths in inches/ }).click();
  await page.locator('.chart svg').getByText('lift, mm').waitFor();
  await page.reload();
  await page.getByRole('button', { name: /Lengths in mm/ }).waitFor();
  expect(watch.complaints).toEqual([]);
  await context.close();
});
