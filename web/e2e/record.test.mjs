// Nothing that was saved is lost: a reload, a killed program, two tabs on one case.
import assert from 'node:assert/strict';
import { rmSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { browser, chart, newCase, saved, start, visitor } from './harness.mjs';

let b;
before(async () => {
  b = await browser();
});
after(() => b?.close());

test('a reload in the middle, and a program killed, lose nothing', async () => {
  let server = await start();
  const { page, context } = await visitor(b, server.address);
  await newCase(page, 'Reloaded');
  await chart(page, '36-38 missing', '34 mobility 2');
  await saved(page);
  await page.getByRole('button', { name: /^34 / }).click();
  await page.reload();
  await page.getByRole('heading', { name: /^34 / }).waitFor();
  assert.equal(await page.getByLabel('Mobility').inputValue(), '2');
  const id = page.url().split('/')[4];

  await server.kill('SIGKILL');
  await page.getByLabel('Mobility').fill('3');
  await page.getByLabel('Mobility').press('Enter');
  await page.locator('.saving.offline').waitFor();

  const { data } = server;
  server = await start(data);
  const { page: again, context: second } = await visitor(b, server.address);
  await again.getByRole('button', { name: 'Understood' }).click();
  await again.getByRole('link', { name: `Open ${id}` }).click();
  await again.getByRole('button', { name: /^34 / }).click();
  assert.equal(await again.getByLabel('Mobility').inputValue(), '2');
  // Undo reaches back over the restart.
  await again.getByRole('button', { name: 'Undo' }).click();
  await again.waitForFunction(() => [...document.querySelectorAll('.margin input')].every((e) => e.value !== '2'));
  await context.close();
  await second.close();
  await server.stop();
  rmSync(data, { recursive: true, force: true });
});

test('two tabs on one case: both edits stand', async () => {
  const server = await start();
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Two tabs');
  const other = await context.newPage();
  await other.goto(page.url());
  await other.getByLabel('Type findings').waitFor();
  await chart(page, '36 missing');
  await chart(other, '46 missing');
  for (const p of [page, other]) {
    await p.getByRole('button', { name: /^36 .*missing/ }).waitFor();
    await p.getByRole('button', { name: /^46 .*missing/ }).waitFor();
  }
  // Both at once: the slower is made again on top of the faster.
  await Promise.all([chart(page, '37 missing'), chart(other, '47 missing')]);
  for (const p of [page, other]) for (const n of [36, 37, 46, 47]) await p.getByRole('button', { name: new RegExp(`^${n} .*missing`) }).waitFor();
  assert.deepEqual(faults(), []);
  await context.close();
  await server.stop();
});

test('search, duplicate, export, import, remove', async () => {
  const server = await start();
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Bounded saddle');
  await chart(page, '36 missing');
  await saved(page);
  await page.getByRole('link', { name: 'Halfpear' }).click();
  await page.getByRole('button', { name: 'Duplicate' }).click(); // there is one case only
  await page.waitForFunction(() => document.querySelectorAll('.cases tbody tr').length === 2);
  const [file] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'Export' }).first().click()]);
  await page.getByLabel('Import a case file').setInputFiles(await file.path());
  await page.getByLabel('Type findings').waitFor();
  await page.getByRole('button', { name: /^36 .*missing/ }).waitFor();
  await page.getByRole('link', { name: 'Halfpear' }).click();
  await page.getByLabel('Search').fill('saddle III');
  await page.waitForFunction(() => document.querySelectorAll('.cases tbody tr').length === 3);
  await page.getByLabel('Search').fill('nothing of the kind');
  await page.getByText('No case holds these words').waitFor();
  await page.getByLabel('Search').fill('');
  page.on('dialog', (d) => d.accept());
  await page.getByRole('button', { name: 'Remove' }).first().click();
  await page.waitForFunction(() => document.querySelectorAll('.cases tbody tr').length === 2);
  assert.deepEqual(faults(), []);
  await context.close();
  await server.stop();
});
