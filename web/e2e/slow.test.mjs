// A program that is slow, fails or is gone: nothing is lost, nothing old passes for new, nothing moves.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { chart, drawn, newCase, room, saved, shoot, visitor, workbench } from './harness.mjs';

const { server, b } = await workbench();

/** Holds back requests until they are let go; asked() waits until one was made. */
async function held(page, method, pattern) {
  const waiting = [];
  let asked;
  const first = new Promise((done) => {
    asked = done;
  });
  const hold = (route) => {
    if (route.request().method() !== method) return route.fallback();
    waiting.push(route);
    asked();
  };
  await page.route(pattern, hold);
  return {
    asked: () => first,
    count: () => waiting.length,
    letGo: async () => {
      await page.unroute(pattern, hold);
      await Promise.all(waiting.map((r) => r.continue().catch(() => {}))); // what the page itself gave up needs no answer
    },
  };
}

const has = (page) => page.evaluate(() => document.activeElement !== document.body);

test('while a case is being saved, undo waits its turn, and what is typed stays', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Slow to save');
  await chart(page, '36 missing');
  await saved(page);
  const save = await held(page, 'PUT', '**/api/cases/*');
  await chart(page, '37 missing');
  await save.asked();
  await chart(page, '46 missing');
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  const title = page.getByLabel('Title', { exact: true });
  await title.fill('Typed while it was slow');
  await save.letGo();
  await saved(page);
  await page.getByRole('button', { name: /^37 .*present/ }).waitFor();
  await page.getByRole('button', { name: /^46 .*present/ }).waitFor();
  await page.getByRole('button', { name: /^36 .*missing/ }).waitFor();
  assert.equal(await title.inputValue(), 'Typed while it was slow');
  // Going back takes over what is still being typed.
  await page.goBack();
  await page.getByText('Typed while it was slow').waitFor();
  assert.deepEqual(faults(), []);
  await context.close();
});

test('a case that is left is saved to the end, and its late answers stay its own', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Left behind');
  const first = page.url();
  const save = await held(page, 'PUT', '**/api/cases/*');
  await chart(page, '36 missing', '37 missing');
  await save.asked();
  await page.getByRole('link', { name: 'Halfpear' }).click();
  await newCase(page, 'Gone on to', 'Upper arch');
  const second = page.url();
  await save.letGo();
  const of = async (url) => (await (await page.request.get(`${new URL(url).origin}/api/cases/${url.split('/')[4]}`)).json()).case;
  while (Object.keys((await of(first)).teeth ?? {}).length < 2) await page.waitForTimeout(20);
  assert.equal(page.url(), second);
  assert.equal(await page.getByLabel('Title', { exact: true }).inputValue(), 'Gone on to');
  await page.getByRole('button', { name: /^16 .*present/ }).waitFor();
  assert.equal((await of(second)).teeth, undefined);
  assert.deepEqual(faults(), []);
  await context.close();
});

test('a click twice begins one case, and a list that fails is asked for again', async () => {
  const { page, context } = await visitor(b, server.address);
  await page.getByRole('button', { name: 'Understood' }).click();
  const create = await held(page, 'POST', '**/api/cases');
  await page.getByLabel('Title (no patient').fill('Once');
  await page.getByRole('button', { name: 'Begin', exact: true }).dblclick();
  await create.asked();
  assert.equal(create.count(), 1);
  await create.letGo();
  await page.getByLabel('Type findings').waitFor();
  await page.route('**/api/cases?q=*', (route) => route.fulfill({ status: 500, body: 'broken' }));
  await page.getByRole('link', { name: 'Halfpear' }).click();
  const again = page.getByRole('button', { name: 'Try again' });
  await again.waitFor();
  await shoot(page, 'slow-failed');
  await page.unroute('**/api/cases?q=*');
  await again.click();
  await page.getByRole('cell', { name: 'Once', exact: true }).waitFor();
  await again.waitFor({ state: 'detached' });
  assert.ok(await has(page), 'the focus went with the button');
  await context.close();
});

test('while the cast is surveyed no number of another path is shown, and nothing moves', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Slow to survey');
  await chart(page, '37-38 missing', '47-48 missing');
  await room(page, 'Cast');
  await page.getByText('exact to').waitFor();
  await drawn(page);
  await page.getByRole('button', { name: '36', exact: true }).click();
  const sites = page.getByRole('table', { name: 'Undercuts of 36' });
  await sites.getByRole('cell', { name: /^\d\.\d\d$/ }).first().waitFor();
  const view = page.getByRole('application', { name: 'The cast' });
  await page.getByLabel('probe').check();
  await view.focus();
  const probe = page.locator('output.probe');
  // Over the front teeth, by the keyboard.
  for (let i = 0; i < 12 && !(await probe.getByText('mm above the margin').isVisible()); i++) {
    const read = page.waitForResponse((r) => r.url().includes('/probe?')).catch(() => null);
    await page.keyboard.press('ArrowDown');
    await Promise.race([read, drawn(page)]);
  }
  await probe.getByText('undercut').waitFor();
  const where = async () => [await view.boundingBox(), await page.getByRole('button', { name: 'to the front' }).boundingBox(), await sites.boundingBox(), await probe.boundingBox()];
  const stood = await where();
  const survey = await held(page, 'GET', '**/survey**');
  await page.getByRole('button', { name: 'to the front' }).click();
  await page.getByText('Surveying; dotted').waitFor();
  await survey.asked();
  await drawn(page);
  assert.deepEqual(await sites.getByRole('cell').filter({ hasText: /\d/ }).allTextContents(), []);
  assert.match(await probe.textContent(), /nothing under the pointer/);
  assert.deepEqual((await where()).map((x) => [x.x, x.y]), stood.map((x) => [x.x, x.y]), 'the page moved under the pointer');
  await shoot(page, 'slow-survey');
  await survey.letGo();
  await page.getByText('exact to').waitFor();
  await sites.getByRole('cell', { name: /^\d\.\d\d$/ }).first().waitFor();
  assert.deepEqual((await where()).map((x) => [x.x, x.y]), stood.map((x) => [x.x, x.y]), 'the page moved under the pointer');
  // What is stopped goes on, and the focus stays on the page.
  const map = await held(page, 'GET', '**/tilt?*');
  await page.getByRole('button', { name: 'Compare the paths' }).click();
  await map.asked();
  assert.ok(await has(page), 'the focus went with the button');
  await page.getByRole('button', { name: 'Stop', exact: true }).click();
  await page.getByRole('button', { name: 'Go on' }).waitFor();
  assert.ok(await has(page), 'the focus went with the button');
  await map.letGo();
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.locator('.tiltmap').waitFor();
  assert.ok(await has(page), 'the focus went with the button');
  assert.deepEqual(faults(), []);
  await context.close();
});
