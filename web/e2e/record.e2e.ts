/** The record on paper: both sizes of sheet, nothing beyond their edges, every station on them. */
import { readFileSync } from 'node:fs';
import { beforeAll, expect, test } from 'vitest';
import { atTheBench, office, open } from './support.ts';

const at = atTheBench();
let id: string;

beforeAll(async () => {
  const document = JSON.parse(readFileSync(new URL('../../examples/invented-twin-cam.json', import.meta.url), 'utf8')) as { name: string };
  document.name = 'Four to hand over';
  const response = await fetch(`${at.url}/api/engines`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ document, by: 'test', device: 'test', change_key: crypto.randomUUID() }),
  });
  if (!response.ok) throw new Error(`making an engine: ${response.status} ${await response.text()}`);
  id = ((await response.json()) as { id: string }).id;
});

/** Sheets in points, and what is left of their width within the margins, in CSS pixels. */
const sheets = [['A4', 595, 842, 680], ['Letter', 612, 792, 700]] as const;

test.each(sheets)('prints to %s', async (format, width, height, inner) => {
  const { context, page } = await open(at.browser, at.url, office);
  await page.goto(`${at.url}/api/engines/${id}/record?system=inch`);
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: inner, height: 1000 });
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
  const pdf = (await page.pdf({ format })).toString('latin1');
  const boxes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)];
  expect(boxes.length).toBeGreaterThan(5);
  expect(boxes.length).toBeLessThan(60);
  for (const [, across, down] of boxes) {
    expect(Math.abs(Number(across) - width)).toBeLessThan(1.5);
    expect(Math.abs(Number(down) - height)).toBeLessThan(1.5);
  }
  // A heading does not stand alone at the foot of a page: the style keeps it with what follows.
  const kept = await page.evaluate(() => [...document.querySelectorAll('h2, h3')].every((one) => getComputedStyle(one).breakAfter === 'avoid'));
  expect(kept).toBe(true);
  await context.close();
});
