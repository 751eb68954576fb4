// Every room at several sizes, light and dark, in both languages: judged by axe, kept as
// pictures under build/screens to be looked at.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { AxeBuilder } from '@axe-core/playwright';
import { frames, room, shoot, visitor, workbench } from './harness.mjs';

const { server, b } = await workbench();

/** Judges the page as it stands: by all of axe's rules for WCAG 2.2 AA, or by some. */
async function judged(page, where, rules) {
  const axe = new AxeBuilder({ page });
  const { violations } = await (rules ? axe.withRules(rules) : axe.withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'])).analyze();
  assert.deepEqual(
    violations.map((v) => `${where}: ${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join(' | ')}`),
    [],
  );
  await fits(page, where);
}

/** Nothing runs out of the page sideways. */
async function fits(page, where) {
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth + 1), `${where} is wider than the window`);
}

test('every room is accessible and fits', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await judged(page, 'notice');
  await page.getByRole('button', { name: 'Understood' }).click();
  await judged(page, 'empty list');
  await page.getByRole('button', { name: 'Open a worked example' }).click();
  await page.getByText('rules checked').waitFor();
  await page.getByRole('button', { name: 'Compare proposals' }).click();
  await page.getByRole('button', { name: 'Accept proposal 1' }).waitFor();
  await judged(page, 'proposals');
  await shoot(page, 'proposals-example');
  const ready = { Chart: '.plan', Cast: '.legend', Design: '[data-part]', Sheet: '.paper svg', Order: '.fields' };
  for (const [name, sign] of Object.entries(ready)) {
    await room(page, name);
    await page.locator(sign).first().waitFor();
    for (const theme of ['light', 'dark']) {
      await page.getByLabel('Light or dark').selectOption(theme);
      await judged(page, `${name} ${theme}`, theme === 'dark' ? ['color-contrast'] : undefined); // the theme changes only colours
      await shoot(page, `room-${name.toLowerCase()}-${theme}`);
    }
    // 200 % zoom of a laptop's window is half its width; a small one beside it.
    for (const [window, size] of [
      ['zoom200', { width: 640, height: 400 }],
      ['laptop', { width: 1366, height: 660 }],
      ['wide', { width: 1680, height: 1050 }],
      ['phone', { width: 390, height: 800 }],
    ]) {
      await page.setViewportSize(size);
      await frames(page);
      if (window === 'zoom200') await judged(page, `${name} ${window}`, ['target-size', 'scrollable-region-focusable']);
      else await fits(page, `${name} ${window}`);
      await shoot(page, `room-${name.toLowerCase()}-${window}`);
    }
    await page.setViewportSize({ width: 1280, height: 800 });
  }
  await page.getByLabel('Light or dark').selectOption('light');
  await page.getByLabel('Language').selectOption('de');
  await page.getByRole('link', { name: 'Entwurf', exact: true }).click();
  await page.locator('[data-part]').first().waitFor();
  await judged(page, 'Entwurf');
  await shoot(page, 'room-design-german');
  await page.getByRole('link', { name: 'Befund', exact: true }).click();
  await page.locator('.plan').waitFor();
  await shoot(page, 'room-chart-german');
  await page.getByRole('link', { name: 'Halfpear' }).click();
  await page.locator('.cases').waitFor();
  await judged(page, 'Fälle');
  await page.setViewportSize({ width: 390, height: 800 });
  await fits(page, 'Fälle on a phone');
  await shoot(page, 'list-phone');
  await shoot(page, 'list-german');
  assert.deepEqual(faults(), []);
  await context.close();
});
