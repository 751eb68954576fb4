// The worked example: read, edited on the plan and on the cast, measured.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { drawn, room, shoot, visitor, workbench } from './harness.mjs';

const { server, b } = await workbench();

/** Opens the example in a fresh browser. */
async function example(options) {
  const v = await visitor(b, server.address, options);
  const { page } = v;
  await page.getByRole('button', { name: 'Understood' }).click();
  // The first to come finds an empty list, the others the example there.
  const begin = page.getByRole('button', { name: 'Open a worked example' });
  const opened = page.getByRole('link', { name: /^Open / }).first();
  await begin.or(opened).waitFor();
  await (await begin.isVisible() ? begin : opened).click();
  await page.getByRole('heading', { name: /^(Chart|Design)$/, level: 1 }).waitFor();
  await room(page, 'Design');
  await page.getByText('rules checked').waitFor();
  const id = page.url().split('/')[4];
  const kept = async () => (await (await page.request.get(`${new URL(page.url()).origin}/api/cases/${id}`)).json()).case;
  return { ...v, id, kept };
}

/** Waits for the design's answers to what f does, and tells how long they took. */
async function followed(page, f) {
  const wanted = ['/placement?', '/findings?', '/mechanics?'].map((part) => page.waitForResponse((r) => r.url().includes(part) && r.ok()));
  const began = performance.now();
  await f();
  await Promise.all(wanted);
  return Math.round(performance.now() - began);
}

test('the example has forces, findings with their reasons, and follows an edit', async (t) => {
  const { page, context, faults } = await example();
  await page.getByText('all clasps together hold').waitFor();
  await page.getByRole('table', { name: 'Retainers' }).getByRole('row', { name: /45 I-bar/ }).waitFor();
  await page.getByText('The same, drawn').click();
  await page.waitForFunction(() => document.querySelector('.mechanics img')?.naturalWidth > 100);
  await shoot(page, 'design-mechanics');

  // A finding leads to its place, and says its rule, its source and what would mend it.
  const finding = page.locator('.findings > ul > .finding').filter({ hasText: 'guide plate on 45' });
  await finding.locator('summary').first().click();
  for (const word of ['Why', 'Rule and source', 'Remedy']) await finding.getByText(word, { exact: true }).waitFor();
  await finding.getByRole('button', { name: /guide plate 45/ }).click();
  await page.getByRole('heading', { name: 'guide plate 45 distal' }).waitFor();
  await page.getByRole('button', { name: 'The whole design' }).click();

  await page.getByRole('button', { name: 'I-bar 45', exact: true }).click();
  const held = () => page.getByRole('table', { name: 'Retainers' }).getByRole('row', { name: /45 I-bar/ }).textContent();
  const before = await held();
  const took = [];
  for (const mm of ['0.5', '0.3', '0.25', '0.5']) {
    await page.getByLabel('Undercut, mm').fill(mm);
    took.push(await followed(page, () => page.getByLabel('Undercut, mm').press('Enter')));
  }
  // Its form and its metal, too, and what it is called follows.
  await followed(page, () => page.getByLabel('Material').selectOption('cp-ti'));
  await followed(page, () => page.getByLabel('Form').selectOption('half-t-bar'));
  await page.getByRole('heading', { name: /T.*45/ }).waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('heading', { name: 'I-bar 45' }).waitFor();
  t.diagnostic(`an edit is laid, reckoned and judged within ${Math.min(...took)} ms (of ${took.join(', ')})`);
  await page.waitForFunction((was) => !document.querySelector('.mechanics table')?.textContent.includes(was), before);
  assert.deepEqual(faults(), []);
  await context.close();
});

test('a tip and a border are dragged along the cast, and by the keyboard', async () => {
  const { page, context, faults, kept } = await example();
  const part = async (id) => (await kept()).design.parts.find((p) => p.id === id);
  await page.getByLabel('on the cast').check();
  await page.getByRole('button', { name: /^I-bar 45/ }).click();
  const id = new URL(page.url()).searchParams.get('at');
  await page.getByRole('button', { name: 'Right', exact: true }).click();
  for (let i = 0; i < 4; i++) await page.getByRole('button', { name: 'Closer' }).click();
  await drawn(page);
  const tip = page.getByRole('button', { name: 'Tip of the arm' });
  const was = (await part(id)).undercut;
  const at = await tip.boundingBox();
  // Toward the gum on the crown the undercut is deeper.
  await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2);
  await page.mouse.down();
  await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2 + 6, { steps: 3 });
  await shoot(page, 'design-tip');
  await followed(page, () => page.mouse.up());
  const dragged = (await part(id)).undercut;
  assert.notDeepEqual(dragged, was, 'the tip stayed where it was');

  // The border of the bar, by the keyboard alone.
  await page.getByRole('button', { name: 'lingual bar', exact: true }).click();
  await page.getByRole('button', { name: 'Back', exact: true }).click();
  await drawn(page);
  const border = page.getByRole('button', { name: /^height of the bar|^lower border|mm$/ }).and(page.locator('.handle')).first();
  await border.focus();
  const name = await border.getAttribute('aria-label');
  for (const key of ['ArrowDown', 'ArrowDown', 'ArrowDown', 'ArrowDown']) await page.keyboard.press(key);
  const moved = await page.evaluate(() => document.activeElement?.getAttribute('aria-label'));
  assert.notEqual(moved, name, 'the border did not move');
  await followed(page, () => page.keyboard.press('Enter'));
  const bar = (await kept()).design.parts.find((p) => p.kind === 'major-connector');
  assert.ok(Object.keys(bar.dimensions ?? {}).length > 0, 'no dimension was chosen');
  await shoot(page, 'design-border');
  assert.deepEqual(faults(), []);
  await context.close();
});

test('the probe reads the cast, and the survey follows the path', async (t) => {
  const { page, context, faults } = await example();
  await room(page, 'Cast');
  await page.getByText('exact to').waitFor();
  await drawn(page);
  const view = page.getByRole('application', { name: 'The cast' });
  await page.getByLabel('probe').check();
  await view.focus();
  for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowDown');
  await page.locator('.probe').getByText(/undercut \d\.\d\d mm .* above the margin, surface -?\d+° to the path/).waitFor();
  const box = await view.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.78);
  await page.locator('.probe').getByText('undercut').waitFor();

  await page.getByLabel('tilt the path').check();
  await view.focus();
  // From the key to the dotted preview, and on to the exact survey.
  const tilted = async () => {
    await page.evaluate(() => {
      const legend = document.querySelector('.legend');
      const began = performance.now();
      const took = [];
      const watch = new MutationObserver(() => {
        const busy = legend.querySelector('.away') !== null;
        if (busy !== (took.length === 0)) return;
        took.push(Math.round(performance.now() - began));
        if (busy) return;
        watch.disconnect();
        window.took = took;
      });
      window.took = null;
      watch.observe(legend, { childList: true, subtree: true, attributes: true });
      document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowUp', bubbles: true }));
    });
    return (await page.waitForFunction(() => window.took)).jsonValue();
  };
  const took = [await tilted(), await tilted(), await tilted()];
  t.diagnostic(`a tilt is shown within ${Math.min(...took.map((x) => x[0]))} ms and surveyed within ${Math.min(...took.map((x) => x[1]))} ms`);
  await page.waitForFunction(() => document.querySelector('.margin input')?.value === '1.5');
  assert.deepEqual(faults(), []);
  await context.close();
});
