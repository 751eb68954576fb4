// Scans: taken in, pointed out, refused.
import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { chart, drawn, frames, newCase, room, shoot, visitor, workbench } from './harness.mjs';

const { server, b } = await workbench();

test('a scan is taken in, its teeth are pointed out, and it is surveyed', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'A made cast, to be scanned');
  await chart(page, '36-38 missing', '45-48 missing');
  await room(page, 'Cast');
  await page.getByText('exact to').waitFor();
  const id = page.url().split('/')[4];
  const fetched = async (path) => (await page.request.get(`${new URL(page.url()).origin}/api/cases/${id}${path}`)).body();
  const scan = await fetched('/cast.stl');
  const cast = JSON.parse(await fetched('/cast'));

  await page.getByLabel('Use a scan').setInputFiles({ name: 'lower arch.stl', mimeType: 'model/stl', buffer: scan });
  // The program proposes a point on every tooth that the cast was made with.
  await page.getByText(`The program found ${cast.teeth.length} teeth`).waitFor();
  await page.getByText('exact to').waitFor();
  await shoot(page, 'scan-found');

  // From here on the scan's triangles stay in the page, whatever is corrected on them.
  const again = [];
  page.on('request', (r) => r.url().includes('/cast/mesh') && again.push(r.url()));

  // One is looked at and confirmed; the next one comes up by itself.
  await page.getByRole('button', { name: 'Look at the next' }).click();
  await page.getByRole('button', { name: '44 is right' }).click();
  await page.getByText(`The program found ${cast.teeth.length - 1} teeth`).waitFor();
  await page.getByRole('button', { name: '43 is right' }).waitFor();

  // One is moved: pointed out anew in the middle of the view, where it stands.
  await page.getByLabel('point out teeth').check();
  const view = page.getByRole('application', { name: 'The cast' });
  await page.getByRole('button', { name: /^34/ }).click();
  await page.getByRole('button', { name: 'Margin of 34, point 1 of 14' }).waitFor();
  await drawn(page);
  const { width, height } = await view.boundingBox();
  await view.click({ position: { x: width / 2 + 2, y: height / 2 } });
  await page.getByRole('button', { name: /^34.*given/ }).waitFor();
  const kept = async () => JSON.parse(await fetched('')).case.scan;
  assert.equal((await kept()).proposed.length, cast.teeth.length - 2);

  // Its margin is dragged at one point, and at another by the keyboard.
  const margin = async () => JSON.parse(await fetched('/cast')).teeth.find((t) => t.tooth === 34);
  const handle = page.getByRole('button', { name: 'Margin of 34, point 1 of 14' });
  await drawn(page);
  const at = await handle.boundingBox();
  await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2);
  await page.mouse.down();
  await page.mouse.move(at.x + at.width / 2 + 12, at.y + at.height / 2 + 9, { steps: 4 });
  await Promise.all([page.waitForResponse((r) => r.url().includes('/cast?') && r.ok()), page.mouse.up()]);
  await page.getByRole('button', { name: /^34.*given/ }).waitFor();
  const dragged = await margin();
  assert.ok(dragged.corrected, 'the margin was not kept');
  await shoot(page, 'scan-margin');
  await drawn(page);
  await page.getByRole('button', { name: 'Margin of 34, point 5 of 14' }).focus();
  for (const key of ['ArrowRight', 'ArrowRight', 'ArrowDown']) await page.keyboard.press(key);
  await Promise.all([page.waitForResponse((r) => r.url().includes('/cast?') && r.ok()), page.keyboard.press('Enter')]);
  assert.notDeepEqual((await margin()).margin, dragged.margin);

  // A point is taken away and put back by undo; the others are confirmed as they are.
  await page.getByRole('button', { name: 'Take the point on 34 away' }).click();
  await page.getByRole('button', { name: /^34.*not found/ }).waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('button', { name: /^34.*given/ }).waitFor();
  await page.getByRole('button', { name: 'All are right' }).click();
  await page.getByText('The program found').waitFor({ state: 'detached' });
  assert.equal((await kept()).proposed, undefined);
  await page.getByRole('table', { name: 'Undercuts of 34' }).waitFor();
  await shoot(page, 'scan-surveyed');
  assert.deepEqual(again, [], 'the whole mesh was fetched again for a corrected point or margin');
  await page.reload();
  await page.getByText('Scan lower_arch.stl').waitFor();
  await room(page, 'Order');
  for (const name of ['Cast (STL)', 'Cast with its undercuts filled (STL)']) {
    const [file] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name, exact: true }).click()]);
    const data = readFileSync(await file.path());
    assert.equal(data.length, 84 + 50 * data.readUInt32LE(80), `${name} is no STL`); // the format's own sum
  }
  assert.deepEqual(faults(), []);
  await context.close();
});

/** Each triangle of a binary STL cut into n² of the same shape. */
function finer(data, n) {
  const faces = data.readUInt32LE(80);
  const out = Buffer.alloc(84 + 50 * faces * n * n);
  out.writeUInt32LE(faces * n * n, 80);
  let o = 84;
  for (let i = 0; i < faces; i++) {
    const at = (k, j) => data.readFloatLE(84 + 50 * i + 12 + 12 * k + 4 * j);
    const put = (...corners) => {
      corners.forEach(([u, v], k) => {
        for (let j = 0; j < 3; j++) out.writeFloatLE(at(0, j) + ((at(1, j) - at(0, j)) * u + (at(2, j) - at(0, j)) * v) / n, o + 12 + 12 * k + 4 * j);
      });
      o += 50;
    };
    for (let u = 0; u < n; u++)
      for (let v = 0; u + v < n; v++) {
        put([u, v], [u + 1, v], [u, v + 1]);
        if (u + v + 1 < n) put([u + 1, v], [u + 1, v + 1], [u, v + 1]);
      }
  }
  return out;
}

/** What of these, in sight, is covered by something else at its middle. */
function hidden(page, what) {
  return page.evaluate((what) => {
    const covered = [];
    for (const e of document.querySelectorAll(what)) {
      const box = e.getBoundingClientRect();
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      const top = document.elementFromPoint(x, y); // none outside the window
      if (box.width && top && !e.contains(top)) covered.push(`${e.textContent} under ${top.className}`);
    }
    return covered;
  }, what);
}

test('long work says what it is at, is broken off, and goes on', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'A large scan');
  await chart(page, '36-38 missing', '45-48 missing');
  await room(page, 'Cast');
  await page.getByText('exact to').waitFor();
  const at = `${new URL(page.url()).origin}/api/cases/${page.url().split('/')[4]}`;
  const large = join(server.data, 'large.stl'); // a million triangles
  writeFileSync(large, finer(await (await page.request.get(`${at}/cast.stl`)).body(), 4));
  const before = (await (await page.request.get(at)).json()).revision;
  const choose = () => page.getByLabel('Use a scan').setInputFiles(large);
  const working = page.locator('.working');

  // Broken off while it is on its way, where it is held so that it cannot be over before:
  // nothing is kept.
  await page.route('**/scan?*', () => {});
  await choose();
  await working.getByRole('button', { name: 'Stop' }).click();
  await working.getByRole('button', { name: 'Stop' }).waitFor({ state: 'detached' });
  await page.getByText('Made from the chart').waitFor();
  assert.equal((await (await page.request.get(at)).json()).revision, before);
  await page.unroute('**/scan?*');

  // Broken off while the teeth are looked for: the scan is kept, and the work goes on when asked to.
  // The program is held there for as long as the page is looked at.
  const asked = page.waitForRequest((r) => r.url().includes('/cast?'));
  await choose();
  await asked;
  server.hold();
  await working.getByRole('button', { name: 'Stop' }).waitFor();
  const looking = working.getByText(/Looking for the teeth|Marking off/);
  while (!(await looking.isVisible())) {
    server.letGo();
    await page.waitForTimeout(20);
    server.hold();
    await frames(page);
  }
  await shoot(page, 'working');
  assert.deepEqual(await hidden(page, 'header a, header button, main button, footer select, footer button'), [], 'the slip lies over what is to be clicked');
  assert.equal(await page.getByText('The program found').count(), 0, 'teeth of the cast before are offered as found');
  await working.getByRole('button', { name: 'Stop' }).click();
  await working.getByText('Broken off').waitFor();
  server.letGo();
  await working.getByRole('button', { name: 'Go on' }).click();
  await page.getByText('The program found').waitFor();
  assert.deepEqual(faults(), []);
  await context.close();
});

test('a bad scan is refused with its reason, and the case stays as it was', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Bad scans');
  await room(page, 'Cast');
  await page.getByText('Made from the chart').waitFor();
  const many = Buffer.alloc(84);
  many.writeUInt32LE(0xffffffff, 80);
  const bad = [
    ['empty.stl', Buffer.alloc(0), 'the file is empty'],
    ['photo.stl', Buffer.from('\x89PNG\r\n\x1a\n0000'), 'could not read photo.stl'],
    ['lies.stl', many, 'could not read lies.stl'],
    ['cut.ply', Buffer.from('ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n'), 'could not read cut.ply'],
  ];
  for (const [name, buffer, says] of bad) {
    await page.getByLabel('Use a scan').setInputFiles({ name, mimeType: 'model/stl', buffer });
    await page.locator('.word').getByText(says).waitFor();
    if (name === 'lies.stl') await shoot(page, 'scan-refused');
    await page.locator('.word').getByRole('button', { name: 'Close' }).click();
    await page.getByText('Made from the chart').waitFor();
  }
  assert.deepEqual(faults(), []);
  await context.close();
});
