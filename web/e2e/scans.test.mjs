// Scans: taken in, pointed out, refused.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { browser, chart, newCase, shoot, start, visitor } from './harness.mjs';

let server;
let b;
before(async () => {
  server = await start();
  b = await browser();
});
after(async () => {
  await b?.close();
  await server?.stop();
});

/** Binary STL of a mesh as the workbench sends it. */
function stl(buffer) {
  const [vertices, faces] = new Uint32Array(buffer, 0, 2);
  const p = new Float32Array(buffer, 8, 3 * vertices);
  const f = new Uint32Array(buffer, 8 + 12 * vertices, 3 * faces);
  const out = Buffer.alloc(84 + 50 * faces);
  out.writeUInt32LE(faces, 80);
  for (let i = 0; i < faces; i++) {
    for (let k = 0; k < 3; k++) for (let j = 0; j < 3; j++) out.writeFloatLE(p[3 * f[3 * i + k] + j], 84 + 50 * i + 12 + 12 * k + 4 * j);
  }
  return out;
}

test('a scan is taken in, its teeth are pointed out, and it is surveyed', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'A made cast, to be scanned');
  await chart(page, '36-38 missing', '45-48 missing');
  await page.getByRole('link', { name: 'Cast' }).click();
  await page.getByText('exact to').waitFor();
  const id = page.url().split('/')[4];
  const fetched = async (path) => (await page.request.get(`${new URL(page.url()).origin}/api/cases/${id}${path}`)).body();
  const body = await fetched('/cast/mesh');
  const scan = stl(body.buffer.slice(body.byteOffset, body.byteOffset + body.length));
  const cast = JSON.parse(await fetched('/cast'));

  await page.getByLabel('Use a scan').setInputFiles({ name: 'lower arch.stl', mimeType: 'model/stl', buffer: scan });
  await page.getByText('still to come').waitFor();
  await shoot(page, 'scan-new');
  await page.getByLabel('point out teeth').check();
  const view = page.getByRole('application', { name: 'The cast' });
  const box = await view.boundingBox();
  const size = [0, 1, 2].map((i) => cast.max[i] - cast.min[i]);
  const half = Math.max(size[1] * 0.62, (size[0] * 0.62 * box.height) / box.width);
  const scale = box.height / 2 / half;
  // The lower arch is seen with the front teeth down and the patient's right on the left.
  const place = ([x, y]) => ({ x: box.width / 2 - (x - (cast.min[0] + cast.max[0]) / 2) * scale, y: box.height / 2 + (y - (cast.min[1] + cast.max[1]) / 2) * scale });
  for (const t of cast.teeth) {
    await page.getByRole('button', { name: new RegExp(`^${t.tooth}`) }).click();
    await page.keyboard.press('Shift'); // nothing is held
    await view.click({ position: place(t.point) });
    await page.getByRole('button', { name: new RegExp(`^${t.tooth}.*given`) }).waitFor({ timeout: 8000 });
  }
  await page.getByText('exact to').waitFor();
  await page.getByRole('button', { name: /^34/ }).click();
  await page.getByRole('table', { name: 'Undercuts of 34' }).waitFor();
  await shoot(page, 'scan-surveyed');

  // One tooth's point again, by keyboard alone.
  await view.focus();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowLeft');
  await page.reload();
  await page.getByText('Scan lower_arch.stl').waitFor();
  assert.deepEqual(faults(), []);
  await context.close();
});

test('a bad scan is refused with its reason, and the case stays as it was', async () => {
  const { page, context, faults } = await visitor(b, server.address);
  await newCase(page, 'Bad scans');
  await page.getByRole('link', { name: 'Cast' }).click();
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
