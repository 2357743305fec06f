/** What every page test uses: a browser, a server (the one at FETTLE_URL, or one of its own), engines. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { preview } from 'vite';
import { afterAll, beforeAll } from 'vitest';

interface Served {
  url: string;
  stop: () => Promise<void>;
}

/** The program with a fresh ledger, and the page of dist/ in front of it. */
async function serveFresh(program: string): Promise<Served> {
  const folder = await mkdtemp(join(tmpdir(), 'fettle-page-'));
  const child = spawn(program, ['serve', '--ledger', join(folder, 'ledger.fettle'), '--port', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(child, 'exit');
  let address: string | undefined;
  for await (const line of createInterface(child.stdout)) {
    address = /http:\/\/[^ /]*/.exec(line)?.[0];
    if (address) break;
  }
  if (!address) throw new Error(`${program} said no address`);
  const proxy = { '/api': { target: address, changeOrigin: true, headers: { origin: address } } };
  const page = await preview({ root: new URL('..', import.meta.url).pathname, preview: { port: 0, host: '127.0.0.1', proxy }, logLevel: 'warn' });
  const stop = async (): Promise<void> => {
    await page.close();
    child.kill();
    await ended;
    await rm(folder, { recursive: true });
  };
  return { url: (page.resolvedUrls?.local[0] ?? '').replace(/\/$/, ''), stop };
}

async function serve(): Promise<Served> {
  const url = process.env['FETTLE_URL'];
  if (url) return { url: url.replace(/\/$/, ''), stop: () => Promise.resolve() };
  return serveFresh(process.env['FETTLE'] ?? new URL('../../build/release/src/cli/fettle', import.meta.url).pathname);
}

/** One browser and one server for all tests of a file. */
export function atTheBench(): { readonly browser: Browser; readonly url: string } {
  let browser: Browser | undefined;
  let served: Served | undefined;
  beforeAll(async () => {
    served = await serve();
    browser = await launch();
  });
  afterAll(async () => {
    await browser?.close();
    await served?.stop();
  });
  const ready = <T>(one: T | undefined): T => {
    if (one === undefined) throw new Error('nothing is served yet: use it inside a test');
    return one;
  };
  return { get browser() { return ready(browser); }, get url() { return ready(served).url; } };
}

const launch = (): Promise<Browser> =>
  chromium.launch({
    executablePath: process.env['CHROMIUM'] ?? '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

export const phone = { width: 390, height: 844 };
export const small = { width: 360, height: 740 };
export const office = { width: 1440, height: 900 };
export type Size = typeof phone;

export interface Watch {
  /** Everything asked of any host but the page's own. */
  foreign: string[];
  /** What the content policy blocked, and errors of scripts. */
  complaints: string[];
}

/** A window with its own storage, already introduced, whose requests and complaints are recorded. */
export async function open(browser: Browser, url: string, size: Size, who = 'Ada', more: object = {}): Promise<{ context: BrowserContext; page: Page; watch: Watch }> {
  const context = await browser.newContext({ viewport: size, locale: 'en-GB', ...more });
  const watch: Watch = { foreign: [], complaints: [] };
  await context.addInitScript((name) => {
    if (!localStorage.getItem('fettle.prefs')) localStorage.setItem('fettle.prefs', JSON.stringify({ who: name, device: `${name}'s screen` }));
    addEventListener('securitypolicyviolation', (event) => console.error(`policy: ${event.violatedDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`));
  }, who);
  context.setDefaultTimeout(10_000);
  const page = await context.newPage();
  page.on('request', (request) => {
    const asked = new URL(request.url());
    if (asked.protocol.startsWith('http') && asked.origin !== new URL(url).origin) watch.foreign.push(request.url());
  });
  page.on('pageerror', (error) => watch.complaints.push(`error: ${error.message}`));
  page.on('console', (message) => {
    if (message.type() === 'error' && !/Failed to load resource|ERR_INTERNET_DISCONNECTED/.test(message.text())) watch.complaints.push(message.text());
  });
  return { context, page, watch };
}

export const demo = (name: string): object => ({
  fettle: 1,
  name,
  engine: {
    layout: 'V8', firing_order: [1, 8, 4, 3, 6, 5, 7, 2], bank_angle: '90 deg', turning: 'clockwise', practice: 'street_pushrod',
    bore: '100.0 mm', stroke: '3.386 in', rod_length: '5.85 in',
  },
  cam: {
    follower: 'flat',
    card: {
      intake: { centerline: '108 deg', lift: '0.300 in', durations: [{ at: '0.050 in', duration: '218 deg' }] },
      exhaust: { centerline: '114 deg', lift: '0.300 in', durations: [{ at: '0.050 in', duration: '226 deg' }] },
    },
  },
  timing_set: { positions: ['-4 deg', '0 deg', '4 deg'], fitted: '0 deg' },
  lifters: { kind: 'solid' },
  tools: {
    wheel: { kind: 'degree_wheel', resolution: '0.5 deg', parallax: '0.25 deg' },
    dial: { kind: 'dial_indicator', resolution: '0.0005 in', permissible_error: '0.001 in' },
  },
  readings: [],
});

let made = 0;

/** A fresh engine in the ledger, so that no test meets another's. */
export async function makeEngine(url: string, name = `Invented ${(made += 1)}`): Promise<string> {
  const response = await fetch(`${url}/api/engines`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ document: demo(name), by: 'test', device: 'test', change_key: crypto.randomUUID() }),
  });
  if (!response.ok) throw new Error(`making an engine: ${response.status} ${await response.text()}`);
  return ((await response.json()) as { id: string }).id;
}

export interface Held {
  version: number;
  document: { readings?: { id: string; kind: string; wheel?: string; cylinder?: number }[]; timing_set?: { fitted?: string } };
}

export const inLedger = async (url: string, id: string): Promise<Held> => (await fetch(`${url}/api/engines/${id}`)).json() as Promise<Held>;

export async function until(what: string, holds: () => Promise<boolean>, most = 10_000): Promise<void> {
  const end = Date.now() + most;
  while (!(await holds())) {
    if (Date.now() > end) throw new Error(`waited in vain for: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

export async function takeStop(page: Page, turning: 'Forward' | 'Backward', wheel: string): Promise<void> {
  await page.locator('form[aria-label^="New reading"]').getByRole('radio', { name: turning }).check();
  await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).fill(wheel);
  await page.locator('form').getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
}

export interface Point { valve: 'Intake' | 'Exhaust'; side: 'Opening' | 'Closing'; lift: string; wheel: string }

export async function takeLobePoint(page: Page, { valve, side, lift, wheel }: Point): Promise<void> {
  const form = page.locator('form[aria-label^="New reading"]');
  await form.getByRole('radio', { name: valve }).check();
  await form.getByRole('radio', { name: side }).check();
  await form.getByRole('textbox', { name: 'Lift from base circle' }).fill(lift);
  await form.getByRole('textbox', { name: 'Wheel shows' }).fill(wheel);
  await form.getByRole('textbox', { name: 'Wheel shows' }).press('Enter');
}

export const station = (url: string, id: string, name: string): string => `${url}/#/engine/${id}/station/${name}`;
