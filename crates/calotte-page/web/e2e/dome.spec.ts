/** What the dome shows: colours that are the legend's, loads, rigid joints, a path. */
import type { Page } from '@playwright/test';
import { expect, middle, settled, shown, test, type, value } from './program';

/** Colour of the canvas at a direction, or null where another thing covers it. */
async function pixel(page: Page, polar: number, azimuth: number) {
  return page.evaluate(
    ([polar, azimuth]) => {
      const view = window.calotteView!;
      const at = view.pixelOf({ polar, azimuth });
      const canvas = document.querySelector<HTMLCanvasElement>('.frame canvas')!;
      if (!at) return null;
      const gl = canvas.getContext('webgl2')!;
      const scale = canvas.width / canvas.clientWidth;
      const bytes = new Uint8Array(4);
      gl.readPixels(
        Math.round(at[0] * scale),
        Math.round(canvas.height - at[1] * scale),
        1,
        1,
        gl.RGBA,
        gl.UNSIGNED_BYTE,
        bytes,
      );
      return [bytes[0]!, bytes[1]!, bytes[2]!];
    },
    [polar, azimuth] as const,
  );
}

const rgb = (hex: string) => {
  const found = /rgb\((\d+), (\d+), (\d+)\)/.exec(hex);
  return found
    ? [+found[1]!, +found[2]!, +found[3]!]
    : [1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16));
};

test('pixels of the dome show the colours of the legend', async ({ sheet, program }) => {
  // The tool out of the way: what is looked at lies in front.
  await type(sheet, 'Azimuth, °', '120');
  await settled(sheet);
  const stops = await sheet
    .locator('[data-testid="legend"] .bar rect')
    .evaluateAll((list) => list.map((one) => one.getAttribute('fill') ?? ''));
  const ticks = await sheet.locator('[data-testid="legend"] .ticks span').allInnerTexts();
  const [low, high] = [Number(ticks[0]), Number(ticks[ticks.length - 1])];
  let looked = 0;
  for (const polar of [37, 44, 52, 63]) {
    for (const azimuth of [304, 311, 318]) {
      const answer = program.json(
        'analyse',
        'design.toml',
        '--brief',
        'brief.toml',
        '--direction',
        `${polar},${azimuth}`,
        '--json',
      );
      const lci = (answer.configurations as { lci: number }[])[0]!.lci;
      const share = Math.min(1, Math.max(0, (lci - low) / (high - low)));
      const k = Math.round(share * (stops.length - 1));
      const seen = await pixel(sheet, polar, azimuth);
      if (!seen) continue;
      // The stop of the value or its neighbour: the field is linear between its nodes.
      const near = [k - 1, k, k + 1].filter((one) => stops[one] !== undefined);
      const miss = Math.min(
        ...near.map((one) => Math.max(...seen.map((v, i) => Math.abs(v - rgb(stops[one]!)[i]!)))),
      );
      if (miss <= 14) looked += 1;
    }
  }
  expect(looked).toBeGreaterThanOrEqual(9);
});

test('the dome is coloured by each quantity', async ({ sheet }) => {
  const choice = sheet.getByRole('combobox', { name: 'The dome is coloured by' });
  const seen = new Set<string>();
  for (const word of ['lci', 'stiffness', 'contact:press', 'sag', 'holding-torque']) {
    await choice.selectOption(word);
    await settled(sheet);
    const ticks = await sheet.locator('[data-testid="legend"] .ticks').innerText();
    expect(ticks).not.toBe('');
    seen.add(ticks);
  }
  expect(seen.size).toBe(5);
});

test('draw calls stay few for four stages', async ({ sheet }) => {
  await type(sheet, 'Stages', '4');
  await settled(sheet);
  const calls = await sheet.evaluate(() => window.calotteView!.statistics().drawCalls);
  console.log(`draw calls for four stages: ${calls}`);
  expect(calls).toBeGreaterThan(5);
  expect(calls).toBeLessThan(150);
});

test('a load moves the tip, tints the bars and draws the outline', async ({ sheet, program }) => {
  await sheet.getByRole('combobox', { name: 'Load', exact: true }).selectOption('case:press');
  await settled(sheet);
  const answer = program.json(
    'analyse',
    'design.toml',
    '--brief',
    'brief.toml',
    '--direction',
    `${await value(sheet, 'Polar angle, °')},0`,
    '--json',
  );
  const matrix = (answer.configurations as { compliance: number[][] }[])[0]!.compliance;
  // Derived: 8 N radial through the compliance at the tip.
  const moved = [0, 1, 2].map((row) => 8e3 * matrix[row]![2]!);
  const expectedMm = Math.hypot(...moved);
  expect(Number(await shown(sheet, 'deflection'))).toBeCloseTo(expectedMm, 3);
  await expect(sheet.getByTestId('causes')).toContainText('arcs');
  const outline = sheet.getByRole('checkbox', { name: /deflected outline/ });
  await outline.focus();
  await sheet.keyboard.press('Space');
  await expect(sheet.getByText(/deflected outline, × \d/)).toBeVisible();
  await sheet.getByRole('combobox', { name: 'Load', exact: true }).selectOption('tip');
  await settled(sheet);
  await type(sheet, 'Force radial, N', '16');
  await settled(sheet);
  await expect(sheet.locator('[data-value="deflection"]')).toBeVisible();
  const own = Number(await shown(sheet, 'deflection'));
  expect(Math.abs(own - 2 * expectedMm)).toBeLessThan(2e-3);
  await sheet.getByRole('combobox', { name: 'Load', exact: true }).selectOption('weight');
  await settled(sheet);
  expect(await shown(sheet, 'deflection')).not.toBe(String(own));
});

test('rigid joints against mine: one switch moves the best number of stages', async ({ sheet }) => {
  const best = sheet.getByTestId('best-stages').locator('strong');
  const mine = Number(await best.innerText());
  const rigid = sheet.getByRole('radio', { name: 'rigid joints', exact: true });
  await rigid.focus();
  await sheet.keyboard.press('Space');
  await settled(sheet);
  expect(Number(await best.innerText())).toBeGreaterThan(mine);
  await sheet.getByRole('radio', { name: 'my joints', exact: true }).check();
  await settled(sheet);
  expect(Number(await best.innerText())).toBe(mine);
});

test('a path is drawn with the mouse and dragged along', async ({ sheet }) => {
  await sheet.getByRole('button', { name: 'Draw a path' }).click();
  const frame = (await sheet.locator('.frame').boundingBox())!;
  const [x, y] = [frame.x + frame.width / 2, frame.y + frame.height * 0.55];
  await sheet.mouse.move(x - 60, y);
  await sheet.mouse.down();
  await sheet.mouse.move(x + 50, y + 10, { steps: 14 });
  await sheet.mouse.up();
  await settled(sheet);
  await expect(sheet.getByTestId('path')).toContainText(/point .* of \d+/s);
  await expect(sheet.getByRole('heading', { name: /Along the path/ })).toBeVisible();
  const before = await value(sheet, 'Azimuth, °');
  await sheet.locator('[data-handle="tool"]').focus();
  for (let k = 0; k < 4; k += 1) await sheet.keyboard.press('ArrowRight');
  await settled(sheet);
  expect(await value(sheet, 'Point of the path')).toBe(5);
  expect(await value(sheet, 'Azimuth, °')).not.toBe(before);
});

test('a path is made with the keyboard alone', async ({ sheet }) => {
  const add = sheet.getByRole('button', { name: 'Add here' });
  for (const polar of ['35', '45', '55']) {
    await type(sheet, 'Polar angle, °', polar);
    await settled(sheet);
    await add.focus();
    await sheet.keyboard.press('Enter');
  }
  await sheet.getByRole('button', { name: 'Go along 3 points' }).press('Enter');
  await settled(sheet);
  expect(await value(sheet, 'Polar angle, °')).toBeCloseTo(35, 2);
  await type(sheet, 'Point of the path', '3');
  await settled(sheet);
  expect(await value(sheet, 'Polar angle, °')).toBeCloseTo(55, 2);
  await sheet.getByRole('button', { name: 'Clear path' }).press('Enter');
  await expect(sheet.getByTestId('path')).toHaveCount(0);
});

test('the view is turned with mouse and keys, and the drawing is saved', async ({ sheet }) => {
  const before = await middle(sheet, 'tool');
  await sheet.locator('.frame').focus();
  for (let k = 0; k < 4; k += 1) await sheet.keyboard.press('Alt+ArrowRight');
  await settled(sheet);
  const after = await middle(sheet, 'tool');
  expect(Math.abs(after.x - before.x)).toBeGreaterThan(5);
  await sheet.getByRole('button', { name: 'above' }).click();
  const svg = sheet.waitForEvent('download');
  await sheet.getByRole('button', { name: 'SVG: save the drawing of the dome' }).click();
  expect((await svg).suggestedFilename()).toMatch(/\.svg$/);
  const csv = sheet.waitForEvent('download');
  await sheet.getByRole('button', { name: 'CSV: save the values over the dome' }).press('Enter');
  expect((await csv).suggestedFilename()).toMatch(/\.csv$/);
});

test('the type 2 margin is shown as it closes', async ({ sheet }) => {
  const wide = Number(await shown(sheet, 'transmission'));
  await type(sheet, 'Joint angle opening, °', '35');
  await settled(sheet);
  const narrow = Number(await shown(sheet, 'transmission'));
  expect(narrow).toBeLessThan(wide);
});
