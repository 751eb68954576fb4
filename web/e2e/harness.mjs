// Drives the real program with the real browser, for the tests beside this file.
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { after } from 'node:test';
import { chromium } from 'playwright-core';

const root = resolve(import.meta.dirname, '../..');
export const program = process.env.HALFPEAR ?? join(root, 'build/halfpear');
export const screens = join(root, 'build/screens');
mkdirSync(screens, { recursive: true });

/** Starts the program on a free port with a data folder of its own. */
export async function start(data = mkdtempSync(join(tmpdir(), 'halfpear-'))) {
  const child = spawn(program, ['serve', '--listen', '127.0.0.1:0', '--data', data, '--json'], { stdio: ['ignore', 'pipe', 'pipe'] });
  process.on('exit', () => child.kill('SIGKILL')); // a failed test leaves none behind
  let log = '';
  child.stderr.on('data', (d) => {
    log += d;
  });
  const address = await new Promise((done, fail) => {
    let out = '';
    child.stdout.on('data', (d) => {
      out += d;
      try {
        done(JSON.parse(out).address);
      } catch {
        // not all of it is there yet
      }
    });
    child.on('exit', (code) => fail(new Error(`halfpear serve ended with ${code}: ${log}`)));
  });
  return {
    address,
    data,
    log: () => log,
    /** Halts the program, so that what it is at lasts as long as a test looks at it, and lets it go on. */
    hold: () => child.kill('SIGSTOP'),
    letGo: () => child.kill('SIGCONT'),
    kill: (signal = 'SIGKILL') =>
      new Promise((done) => {
        child.removeAllListeners('exit');
        child.on('exit', done);
        child.kill(signal);
      }),
    async stop() {
      await this.kill('SIGINT');
      rmSync(data, { recursive: true, force: true });
    },
  };
}

/** One browser for a whole test file; software drawing, no network of its own. */
export function browser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--use-gl=angle',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
      '--ignore-gpu-blocklist',
    ],
  });
}

/** A program and a browser for all tests of a file. */
export async function workbench() {
  const server = await start();
  after(() => server.stop());
  const b = await browser();
  after(() => b.close());
  return { server, b };
}

/**
 * A fresh user: nothing remembered, no notice read. Whatever the page complains of in its
 * console, a breach of the content policy among it, fails the test through faults().
 */
export async function visitor(b, address, options = {}) {
  const context = await b.newContext({ viewport: { width: 1280, height: 800 }, locale: 'en-GB', acceptDownloads: true, ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(200_000); // a step of a busy machine; no test is quicker for a shorter one
  const faults = [];
  page.on('console', (m) => {
    if (m.type() === 'error' && !/status of 4\d\d/.test(m.text())) faults.push(m.text());
  });
  page.on('pageerror', (e) => faults.push(String(e)));
  await page.goto(address);
  await page.waitForURL((u) => u.pathname === '/');
  return { context, page, faults: () => faults };
}

export async function shoot(page, name) {
  await page.screenshot({ path: join(screens, `${name}.png`) });
}

export function keep(name, data) {
  writeFileSync(join(screens, name), data);
}

/** Reads the notice, where it has not been read, and begins a case. */
export async function newCase(page, title, arch = 'Lower arch') {
  await page.getByLabel('Title (no patient').waitFor(); // drawn together with the notice
  const notice = page.getByRole('button', { name: 'Understood' });
  if (await notice.isVisible()) await notice.click();
  await page.getByLabel(arch).check();
  await page.getByLabel('Title (no patient').fill(title);
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await page.getByLabel('Type findings').waitFor();
}

/** Types lines into the chart. */
export async function chart(page, ...lines) {
  for (const line of lines) {
    await page.getByLabel('Type findings').fill(line);
    await page.getByLabel('Type findings').press('Enter');
  }
}

/** Goes to a room of the open case. */
export async function room(page, name) {
  await page.getByRole('navigation').getByRole('link', { name, exact: true }).click();
  await page.getByRole('heading', { name, exact: true, level: 1 }).waitFor();
}

/** Waits until what was entered so far is with the program. */
export async function saved(page) {
  await page.locator('.saving.saved').waitFor();
}

/** Waits until the view shows the cast as it now is, and what lies over it follows. */
export async function drawn(page) {
  await page.locator('.castview[aria-busy="false"]').waitFor();
  await frames(page);
}

/** Waits until what was asked for before has been drawn. */
export async function frames(page) {
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done)))));
}
