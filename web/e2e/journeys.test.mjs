// A new user's whole way, from nothing to the order as a PDF: by mouse, and by keyboard alone.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { readFileSync } from 'node:fs';
import { chart, drawn, newCase, room, saved, shoot, visitor, workbench } from './harness.mjs';

const { server, b } = await workbench();

/** What the order asks for, in the user's own invented answers. */
const answers = {
  'alloy': 'co-cr-cast',
  'work.kind': 'framework',
  'occlusion.scheme': 'canine',
  'mark': 'declined',
  'consent.subcontract': 'no',
  'consent.foreign': 'no',
};

/** A PDF's text begins after its header; whether it is one is all that is asked here. */
const isPDF = (data) => data.subarray(0, 5).toString() === '%PDF-' && data.length > 20_000;

test('by mouse: from nothing to a signed order', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await page.getByRole('dialog').getByText('design aid for licensed practitioners').waitFor();
  await shoot(page, 'notice');
  await page.getByRole('button', { name: 'Understood' }).click();
  await shoot(page, 'list-empty');
  await newCase(page, 'Two-sided extension, shallow floor');
  await chart(page, '36-38 missing', '45-48 missing', '38 not replaced', '48 not replaced');
  await page.locator('.bigclass').getByText('Kennedy class I', { exact: true }).waitFor();
  await page.getByRole('button', { name: /^34 / }).click();
  await page.getByLabel('Mobility').fill('1');
  await page.getByLabel('Mobility').blur();
  await saved(page);
  await shoot(page, 'chart');
  await page.getByRole('button', { name: 'Tissues and patient' }).click();
  await page.getByLabel('Allergies').fill('none');
  await page.getByLabel('Opposing arch').selectOption('natural');

  // A room has the focus as soon as it is there; later it would be taken from where the user has gone on to.
  const focus = await page.getByRole('link', { name: 'Cast', exact: true }).evaluate(async (link) => {
    link.click();
    await null;
    return `${document.activeElement?.tagName} ${document.activeElement?.textContent}`;
  });
  assert.equal(focus, 'H1 Cast');
  await page.getByText('exact to').waitFor();
  await shoot(page, 'cast');

  await room(page, 'Design');
  await page.getByRole('button', { name: 'Accept proposal 1' }).waitFor();
  await shoot(page, 'proposals');
  await page.getByRole('button', { name: 'Accept proposal 1' }).click();
  const rest = page.locator('[data-part]').first();
  await rest.waitFor();
  await page.getByText('rules checked').waitFor();

  // A part chosen in the drawing is edited, and the finding follows.
  await page.getByRole('button', { name: 'I-bar 44', exact: true }).click();
  await page.getByLabel('Undercut, mm').fill('0.5');
  await page.getByLabel('Undercut, mm').press('Enter');
  await page.getByText('undercut 0.50 mm').waitFor();
  await shoot(page, 'design-part');
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('undercut 0.50 mm').waitFor({ state: 'detached' });
  await page.getByLabel('on the cast').check();
  await page.getByRole('button', { name: 'Back', exact: true }).click();
  await drawn(page);
  await shoot(page, 'design-cast');
  await page.getByLabel('as a plan').check();
  await page.getByRole('button', { name: 'The whole design' }).click();

  // A caution is set aside with a reason, which stays with the case.
  const cautions = page.locator('.finding.caution, .finding.stop');
  const before = await cautions.count();
  for (let i = 0; i < before; i++) {
    const f = page.locator('.findings > ul > .finding.caution, .findings > ul > .finding.stop').first();
    if (!(await f.isVisible())) break;
    await f.locator('summary').first().click();
    await f.getByRole('button', { name: /Set aside|Overrule/ }).first().click();
    await f.getByLabel('Reason').fill('Weighed and accepted in this drill');
    await f.getByLabel(/^By/).fill('K. L.');
    const left = await page.locator('.findings > ul > .finding').count();
    await f.locator('form button').click();
    await page.waitForFunction((n) => document.querySelectorAll('.findings > ul > .finding').length < n, left);
  }
  await shoot(page, 'design');

  await room(page, 'Sheet');
  await page.locator('.paper svg').waitFor();
  await page.getByRole('button', { name: 'Sheet 2' }).waitFor();
  const sheets = await page.getByRole('button', { name: /^Sheet \d/ }).count();
  await shoot(page, 'sheet');

  await room(page, 'Order');
  await page.getByText('Missing before the laboratory can build').waitFor();
  await shoot(page, 'order-missing');
  // A missing field is one click away.
  await page.locator('.gaps button').first().click();
  assert.match(await page.evaluate(() => document.activeElement?.id ?? ''), /^field-/);
  await fillOrder(page);
  await page.getByText('Nothing is missing').waitFor();
  await shoot(page, 'order-complete');
  const [paper] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'Work order (PDF)' }).click()]);
  assert.ok(isPDF(readFileSync(await paper.path())), 'the order is no PDF');

  // The wrong arch read back is not signed for.
  await page.getByLabel('This work is for the').selectOption('upper');
  await page.getByLabel('Name or initials').fill('K. L.');
  await page.getByRole('button', { name: 'Sign and issue' }).click();
  await page.locator('.word').getByText('the arch read back is').waitFor();
  await page.getByLabel('This work is for the').selectOption('lower');
  await page.getByRole('button', { name: 'Sign and issue' }).click();
  await page.getByText('SHA-256').waitFor();
  const [issued] = await Promise.all([page.waitForEvent('download'), page.locator('.issued a').click()]);
  assert.ok(isPDF(readFileSync(await issued.path())), 'the issued order is no PDF');

  // What is changed after that is laid over what went out.
  await room(page, 'Design');
  await page.getByRole('button', { name: /^lingual bar/ }).first().click();
  await page.getByLabel('bar height, mm').fill('5');
  await page.getByLabel('bar height, mm').press('Enter');
  await saved(page);
  await room(page, 'Sheet');
  await page.getByRole('button', { name: `Sheet ${sheets + 1}` }).click();
  await page.getByRole('button', { name: `Sheet ${sheets + 1}`, pressed: true }).waitFor();
  await page.locator('.paper:not(.stale) svg').waitFor();
  await shoot(page, 'sheet-overlay');
  assert.deepEqual(faults(), []);
  await context.close();
});

/** Fills in whatever is still asked for, until nothing is: one answer may bring a further question. */
async function fillOrder(page) {
  for (let round = 0; round < 12; round++) {
    const ids = await page.locator('.entry.lacking').locator('input, select, textarea').evaluateAll((es) => es.map((e) => [e.id, e.tagName, e.type]));
    for (const [id, tag, type] of ids) {
      const field = page.locator(`[id="${id}"]`);
      const name = id.replace('field-', '');
      if (tag === 'SELECT') await field.selectOption(answers[name] ? { value: answers[name] } : { index: 1 });
      else if (type === 'date') await field.fill('2026-12-18');
      else {
        await field.fill({ try_in: 'framework', 'base.material': 'resin', allergies: 'none' }[name] ?? 'as agreed');
        await field.blur();
      }
    }
    await saved(page);
    await page.waitForFunction(
      (before) => before !== [...document.querySelectorAll('.entry.lacking :is(input, select, textarea)')].map((e) => e.id).join() || before === '',
      ids.map(([id]) => id).join(),
    );
    if (await page.getByText('Nothing is missing').isVisible()) return;
  }
}

test('by keyboard alone: from nothing to the order', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  const keys = page.keyboard;
  /** Tabs until what has the focus answers to the name. */
  const tabTo = async (name, back = false) => {
    for (let i = 0; i < 150; i++) {
      const at = await page.evaluate(() => {
        const e = document.activeElement;
        return (e?.getAttribute('aria-label') || e?.labels?.[0]?.textContent || e?.textContent || '').trim();
      });
      if (name instanceof RegExp ? name.test(at) : at === name) return;
      await keys.press(back ? 'Shift+Tab' : 'Tab');
    }
    assert.fail(`the focus never came to ${name}`);
  };
  await page.waitForFunction(() => document.activeElement?.closest('dialog')); // the notice's button has the focus
  await keys.press('Enter');
  await page.getByRole('dialog').waitFor({ state: 'detached' });
  await tabTo(/^Title \(no patient/);
  await keys.type('By keyboard');
  await keys.press('Enter');
  await page.getByLabel('Type findings').waitFor();
  await tabTo('Type findings');
  for (const line of ['36-38 missing', '46-48 missing']) {
    await keys.type(line);
    await keys.press('Enter');
  }
  await page.locator('.bigclass').getByText('Kennedy class I', { exact: true }).waitFor();
  // A tooth by its keys: on to 45, lost, and back again.
  await tabTo(/^48 /);
  for (const n of [47, 46, 45]) {
    await keys.press('ArrowRight');
    assert.equal(await page.evaluate(() => document.activeElement?.getAttribute('data-tooth')), String(n));
  }
  await keys.press('m');
  await page.getByText('47 46 45').waitFor();
  await keys.press('Control+z');
  await page.getByText('47 46 45').waitFor({ state: 'detached' });

  await tabTo('Cast', true);
  await keys.press('Enter');
  await page.getByText('exact to').waitFor();
  await tabTo('turn the view');
  await keys.press('ArrowDown');
  await tabTo('The cast');
  await keys.press('ArrowUp');
  await keys.press('ArrowUp');
  await page.waitForFunction(() => document.querySelector('.margin input')?.value === '1');
  await page.getByText('exact to').waitFor();

  await tabTo('Design', true);
  await keys.press('Enter');
  await page.getByRole('button', { name: 'Accept proposal 1' }).waitFor();
  await tabTo('Accept proposal 1');
  await keys.press('Enter');
  await page.locator('[data-part]').first().waitFor();
  await page.getByText('rules checked').waitFor();
  await tabTo(/^1\. /);
  await keys.press('ArrowRight');
  await page.locator('[data-part][aria-pressed="true"]').waitFor();
  await tabTo('Note');

  await tabTo('Order', true);
  await keys.press('Enter');
  await page.getByText('Missing before the laboratory can build').waitFor();
  await tabTo(/^Work order/);
  const [paper] = await Promise.all([page.waitForEvent('download'), keys.press('Enter')]);
  assert.ok(isPDF(readFileSync(await paper.path())), 'the order is no PDF');
  assert.deepEqual(faults(), []);
  await context.close();
});
