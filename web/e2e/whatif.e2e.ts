/** What a correction or another figure would move, kept only when accepted; limits set beside their findings. */
import { beforeAll, expect, test } from 'vitest';
import { atTheBench, inLedger, makeEngine, office, open, phone, small, station, takeLobePoint, takeStop, until } from './support.ts';

const at = atTheBench();
let id: string;

/** Read four degrees late by both lobes of cylinder 1. */
beforeAll(async () => {
  id = await makeEngine(at.url, 'Late cam');
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(station(at.url, id, 'tdc'));
  await takeStop(page, 'Forward', '340');
  await takeStop(page, 'Backward', '20');
  await page.goto(station(at.url, id, 'cam'));
  for (const [valve, side, wheel] of [['Intake', 'Opening', '3'], ['Intake', 'Closing', '221'], ['Exhaust', 'Opening', '137'], ['Exhaust', 'Closing', '3']] as const) {
    await takeLobePoint(page, { valve, side, lift: '0.050', wheel });
  }
  await until('all readings', async () => (await inLedger(at.url, id)).document.readings?.length === 6);
  await context.close();
});

test('a limit of one\u2019s own is set beside its finding, for all and for one cylinder, and taken out', async () => {
  const { context, page, watch } = await open(at.browser, at.url, phone);
  await page.goto(station(at.url, id, 'cam'));
  const finding = page.locator('article', { hasText: 'Intake centreline' }).first();
  await finding.getByText('Set your own limit').click();
  await finding.getByRole('textbox', { name: 'Least' }).fill('100');
  await finding.getByRole('textbox', { name: 'Most' }).fill('113 deg');
  await finding.getByRole('textbox', { name: 'Where it is from' }).fill('the builder');
  await finding.getByRole('button', { name: 'Keep this limit' }).click();
  await finding.getByText('limit 100 to 113 deg').waitFor();
  const limits = async (): Promise<unknown> => ((await inLedger(at.url, id)).document as { limits?: unknown }).limits;
  await until('in the ledger', async () => (await limits()) !== undefined);
  expect(await limits()).toEqual([{ finding: 'cam.intake_centerline', min: '100 deg', max: '113 deg', source: 'the builder' }]);
  await finding.getByRole('button', { name: 'Cylinder 1 only' }).click();
  await finding.getByRole('textbox', { name: 'Most' }).fill('109');
  await finding.getByRole('button', { name: 'Keep this limit' }).click();
  await finding.getByText('limit 109 deg or less').waitFor();
  await until('both stand', async () => ((await limits()) as unknown[]).length === 2);
  expect((await limits() as unknown[])[1]).toEqual({ finding: 'cam.intake_centerline', cylinder: 1, max: '109 deg' });
  await finding.getByRole('button', { name: 'Take it out' }).click();
  await finding.getByText('limit 100 to 113 deg').waitFor();
  await finding.getByRole('button', { name: 'All of this kind' }).click();
  await finding.getByRole('button', { name: 'Take it out' }).click();
  await until('none is left', async () => (await limits()) === undefined);
  expect(watch.complaints).toEqual([]);
  await context.close();
});

test('a correction shows from and to by slider and by key, keeps nothing until accepted, then says what to read', async () => {
  const { context, page, watch } = await open(at.browser, at.url, small);
  // A cam late by four degrees and a TDC wrong by as much read alike: nothing is advised until TDC is proved by a second pass.
  await page.goto(`${at.url}/#/engine/${id}/overview`);
  await page.getByText('Do next:').waitFor();
  expect(await page.getByRole('link', { name: 'See what it changes' }).count()).toBe(0);
  await page.goto(station(at.url, id, 'tdc'));
  for (const [turning, wheel] of [['Forward', '340'], ['Backward', '20']] as const) {
    if (turning === 'Forward') await page.locator('form summary').click();
    await page.locator('form').getByRole('textbox', { name: 'Pass' }).fill('2');
    await page.locator('form').getByRole('radio', { name: turning }).check();
    await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).fill(wheel);
    await page.getByRole('button', { name: 'Take reading' }).click();
  }
  await until('the second pass', async () => (await inLedger(at.url, id)).document.readings?.length === 8);
  await page.goto(`${at.url}/#/engine/${id}/overview`);
  await page.getByRole('link', { name: 'See what it changes' }).click();
  const before = (await inLedger(at.url, id)).version;
  await page.getByRole('heading', { name: /Advance the cam 4/ }).waitFor();
  const row = page.locator('li', { hasText: 'Intake centreline, cylinder 1' });
  expect((await row.textContent())?.replace(/\s+/g, ' ')).toMatch(/112\.0\d* ± [\d.]+ deg.*108\.0\d* ± [\d.]+ deg/);
  await page.getByRole('slider').focus();
  for (let i = 0; i < 2; i += 1) await page.keyboard.press('ArrowLeft');
  await page.getByRole('heading', { name: /Retard the cam 4/ }).waitFor();
  expect((await row.textContent())?.replace(/\s+/g, ' ')).toMatch(/deg.*116\.0\d* ± /);
  expect((await inLedger(at.url, id)).version).toBe(before);
  await page.getByRole('button', { name: /^4 deg/ }).click();
  await page.getByText('Then prove it:').waitFor();
  await page.getByRole('button', { name: 'Done on the engine: keep it' }).click();
  await page.getByText('Kept: Advance the cam 4').waitFor();
  await until('the position is kept', async () => (await inLedger(at.url, id)).document.timing_set?.fitted === '4 deg');
  await page.getByRole('heading', { name: 'Next' }).waitFor();
  await page.getByRole('button', { name: /Undo/ }).click();
  await until('and can be undone', async () => (await inLedger(at.url, id)).document.timing_set?.fitted === '0 deg');
  expect(watch.complaints).toEqual([]);
  await context.close();
});

test('another figure for a part is tried without being kept', async () => {
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(`${at.url}/#/engine/${id}/what-if`);
  const before = (await inLedger(at.url, id)).version;
  const part = page.locator('section', { has: page.getByRole('heading', { name: 'Another figure for a part' }) });
  await part.getByRole('textbox', { name: 'Intake centreline wanted' }).fill('112');
  await part.getByRole('button', { name: 'Try it' }).click();
  await part.locator('li', { hasText: 'Cam position' }).waitFor();
  expect((await part.locator('li', { hasText: 'Cam position' }).textContent())?.replace(/\s+/g, ' ')).toMatch(/4\.0\d* ± .*0\.0\d* ± /);
  expect((await inLedger(at.url, id)).version).toBe(before);
  await part.getByRole('textbox', { name: 'Intake centreline wanted' }).fill('112 furlong');
  await part.getByRole('button', { name: 'Try it' }).click();
  await part.locator('.problem').waitFor();
  await context.close();
});
