/** The map, the candidates, A against B, the cautions. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import { expect, settled, test, value } from './program';

/** Takes another text of the brief. */
async function takeBrief(sheet: Page, text: string): Promise<void> {
  await sheet.locator('#need summary').click();
  await sheet.getByRole('textbox', { name: 'Text of the brief' }).fill(text);
  await sheet.getByRole('button', { name: 'Take the text' }).press('Enter');
  await settled(sheet);
}

test('a map is made; a cell is clicked and picked by key to see that linkage move', async ({
  sheet,
}) => {
  await sheet.getByRole('textbox', { name: 'Values along the map' }).fill('stages=1..4');
  await sheet.getByRole('textbox', { name: 'Values up the map' }).fill('total_arc_deg=80..110:10');
  await sheet.getByRole('textbox', { name: 'Lines of equal reach' }).fill('reach=85');
  await sheet.getByRole('button', { name: 'Make the map' }).press('Enter');
  await expect(sheet.getByTestId('map-standing')).toHaveText(/16 cells/);
  const plot = sheet.locator('#map svg[role="application"]');
  await plot.evaluate((one) => one.scrollIntoView({ block: 'end', behavior: 'instant' }));
  await settled(sheet);
  await plot.focus();
  await sheet.keyboard.press('Home');
  await sheet.keyboard.press('Enter');
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(1);
  const box = (await plot.boundingBox())!;
  await plot.click({ position: { x: box.width * 0.72, y: box.height * 0.4 } });
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBeGreaterThan(1);
  await expect(sheet.locator('#map code')).toHaveText(
    'calotte map design.toml --brief brief.toml --x stages=1..4 --y total_arc_deg=80..110:10 --show stiffness --line reach=85',
  );
  const csv = sheet.waitForEvent('download');
  await sheet.locator('#map').getByRole('button', { name: /CSV/ }).click();
  expect((await csv).suggestedFilename()).toMatch(/\.csv$/);
});

test('the map equals calotte map', async ({ sheet, program }) => {
  await sheet.getByRole('textbox', { name: 'Values along the map' }).fill('stages=1..3');
  await sheet.getByRole('textbox', { name: 'Values up the map' }).fill('total_arc_deg=86,100');
  await sheet.getByRole('button', { name: 'Make the map' }).click();
  await expect(sheet.getByTestId('map-standing')).toHaveText(/6 cells/);
  const download = sheet.waitForEvent('download');
  await sheet.locator('#map').getByRole('button', { name: /CSV/ }).click();
  const rows = readFileSync(await (await download).path(), 'utf8')
    .trim()
    .split('\n')
    .slice(1);
  const answer = program.json(
    'map',
    'design.toml',
    '--brief',
    'brief.toml',
    '--x',
    'stages=1..3',
    '--y',
    'total_arc_deg=86,100',
    '--show',
    'stiffness',
    '--json',
  );
  const text = JSON.stringify(answer);
  let compared = 0;
  for (const row of rows) {
    const number = row.split(',')[2];
    if (!number) continue;
    expect(text).toContain(Number(number).toPrecision(10).replace(/0+$/, '').slice(0, 8));
    compared += 1;
  }
  expect(compared).toBeGreaterThan(2);
});

test('a map is stopped', async ({ sheet, program }) => {
  await sheet.getByRole('textbox', { name: 'Values along the map' }).fill('stages=1..8');
  await sheet
    .getByRole('textbox', { name: 'Values up the map' })
    .fill('total_arc_deg=60..160:0.05');
  await sheet.getByRole('button', { name: 'Make the map' }).click();
  const standing = sheet.getByTestId('map-standing');
  await expect(standing).toHaveText(/^[1-9]\d* of 16008 cells/);
  await program.held(async () => {
    await sheet.getByRole('button', { name: 'Stop the map' }).click();
    await expect(standing).toHaveText(/^stopped at [1-9]\d* cells/);
  });
  const stopped = await standing.innerText();
  await settled(sheet);
  await expect(standing).toHaveText(stopped);
});

test('words of a map that cannot be are refused with a hint', async ({ sheet, expected }) => {
  expected.faults.push(/422/);
  await sheet.getByRole('textbox', { name: 'Values along the map' }).fill('stagse=1..4');
  await sheet.getByRole('button', { name: 'Make the map' }).click();
  await expect(sheet.locator('#map').getByRole('alert')).toContainText('unknown variable');
});

test('candidates appear, are brushed, sorted and seen; the choice is that of calotte design', async ({
  sheet,
  program,
}) => {
  await sheet.getByRole('button', { name: /^Search \d/ }).press('Enter');
  await expect(sheet.getByRole('button', { name: /See the choice/ })).toBeVisible({
    timeout: 60_000,
  });
  const answer = program.json('design', 'brief.toml', '--json');
  const chosen = (answer.choice as { candidate: number }).candidate;
  await expect(
    sheet.getByRole('button', { name: `See the choice, number ${chosen}` }),
  ).toBeVisible();
  const plot = sheet.locator('#candidates svg[role="application"]');
  await plot.evaluate((one) => one.scrollIntoView({ block: 'end', behavior: 'instant' }));
  await settled(sheet);
  const box = (await plot.boundingBox())!;
  await sheet.mouse.move(box.x + 80, box.y + 20);
  await sheet.mouse.down();
  await sheet.mouse.move(box.x + box.width - 20, box.y + box.height - 60, { steps: 5 });
  await sheet.mouse.up();
  await expect(sheet.locator('[data-testid="candidates"] caption')).toContainText(
    'Chosen on the figure',
  );
  await plot.focus();
  await sheet.keyboard.press('Escape');
  await expect(sheet.locator('[data-testid="candidates"] caption')).toContainText('On the front');
  await sheet.getByRole('combobox', { name: 'Quantity along the scatter' }).selectOption('gci');
  await sheet.getByRole('button', { name: /^GCI/ }).click();
  await sheet
    .getByRole('button', { name: /See candidate \d+ move/ })
    .first()
    .press('Enter');
  await settled(sheet);
  await expect(sheet.getByTestId('design-saved')).toHaveText('not saved');
  await plot.focus();
  await sheet.keyboard.press('ArrowRight');
  await sheet.keyboard.press('Enter');
  await settled(sheet);
});

for (const [needed, limits] of [
  ['met', []],
  ['not met', ['contact_deflection_mm = 0.01', 'sag_mm = 0.001']],
] as const) {
  test(`what governs, what lost and the closest achievable requirement, ${needed}: the words of calotte design`, async ({
    sheet,
    program,
  }) => {
    let brief = readFileSync(join(program.folder, 'brief.toml'), 'utf8');
    for (const limit of limits) {
      brief = brief.replace(new RegExp(`^${limit.split(' ')[0]} = .*$`, 'm'), limit);
      expect(brief).toContain(limit);
    }
    if (limits.length > 0) await takeBrief(sheet, brief);
    await sheet.getByRole('button', { name: /^Search \d/ }).press('Enter');
    const said = sheet.getByTestId('choice-said');
    await expect(said).toBeVisible({ timeout: 60_000 });

    writeFileSync(join(program.folder, 'same.toml'), brief);
    const lines = program.text('design', 'same.toml', '--out', 'same').trimEnd().split('\n');
    const tail = lines.findIndex((line) => line.startsWith('Closest achievable'));
    const summary = tail < 0 ? lines : lines.slice(0, tail);
    /** The text behind a label of eighteen columns, over all its lines. */
    const behind = (label: string) => {
      const first = summary.findIndex((line) => line.startsWith(label.padEnd(18)));
      expect(first, label).toBeGreaterThan(0);
      const more = summary.slice(first + 1).findIndex((line) => !/^ {18}\S/.test(line));
      const block = summary.slice(first, first + 1 + more);
      return block.map((line) => line.slice(18).trim()).join(' ');
    };
    const text = (await said.innerText()).replace(/\u00a0/g, ' ');
    const told = text.split('\n').filter((line) => line.trim() !== '');
    // The heading is broken over lines; on the page it is one.
    const below = lines.slice(summary.length).map((line) => line.trim());
    const heading = below.findIndex((line) => line.endsWith(':')) + 1;
    const nearest =
      heading > 0 ? [below.slice(0, heading).join(' '), ...below.slice(heading)] : below;
    const binds = told.indexOf('Governing limits');
    expect(told[0]).toBe('Selected');
    expect(told.slice(1, binds).join(' ')).toBe(
      `${behind('Selected')} Not chosen: ${behind('Not chosen')}`,
    );
    expect(told[binds + 1]).toBe(behind('Governing limits'));
    expect(told.slice(binds + 2)).toEqual(nearest);
    expect(nearest.length > 0).toBe(needed === 'not met');
  });
}

test('a full grid is stopped', async ({ sheet, program }) => {
  const brief = readFileSync(join(program.folder, 'brief.toml'), 'utf8');
  await takeBrief(
    sheet,
    brief
      .replace('[choice]\n', '[choice]\nfull_grid = true\n')
      .replace('to = 44, step = 2', 'to = 44, step = 0.004'),
  );
  await sheet.getByRole('button', { name: /^Search [\d,]+/ }).click();
  const standing = sheet.getByTestId('search-standing');
  await expect(standing).toHaveText(/^[1-9][\d,]* of [\d,]+ looked at/);
  await program.held(async () => {
    await sheet.getByRole('button', { name: 'Stop the search' }).click();
    await expect(standing).toContainText('; stopped');
  });
  await expect(sheet.getByTestId('choice-said')).toHaveCount(0);
});

test('a search without a full grid is stopped, gone on with, and chooses as calotte design does', async ({
  sheet,
  program,
}) => {
  const brief = readFileSync(join(program.folder, 'brief.toml'), 'utf8');
  const stages = await value(sheet, 'Stages');
  await sheet.getByRole('button', { name: /^Search \d+ kinds? of linkage/ }).click();
  const standing = sheet.getByTestId('search-standing');
  await expect(standing).toHaveText(/^[1-9][\d,]* of at most [\d,]+ looked at/);
  await program.held(async () => {
    await sheet.getByRole('button', { name: 'Stop the search' }).click();
    await expect(standing).toContainText('; stopped');
  });
  await sheet.getByRole('button', { name: /^Go on searching/ }).click();
  await expect(sheet.getByTestId('choice-said')).toBeVisible({ timeout: 60_000 });
  writeFileSync(join(program.folder, 'islands.toml'), brief);
  const answer = program.json('design', 'islands.toml', '--out', 'islands', '--json');
  const { candidate: chosen, not_dominated: front } = answer.choice as {
    candidate: number;
    not_dominated: number[];
  };
  // What is shown in the end is what was analysed, not all that the search thinks best.
  await expect(standing).toContainText(`, ${front.length} on the front`);
  await sheet.getByRole('button', { name: `See the choice, number ${chosen}` }).click();
  await settled(sheet);
  const design = readFileSync(join(program.folder, 'islands', 'design.toml'), 'utf8');
  const near = /^proximal_arcs_deg = \[(.*)\]$/m.exec(design)?.[1]?.split(',') ?? [];
  expect(near.length).toBeGreaterThan(0);
  expect(await value(sheet, 'Stages')).toBe(near.length);
  // A member of the front is seen by what it is, whatever its number was when it came.
  const first = sheet.getByRole('button', { name: /See candidate \d+ move/ }).first();
  await first.press('Enter');
  await settled(sheet);
  await expect(sheet.locator('[data-testid="candidates"] tr.seen')).toHaveCount(1);
  // Looking is not taking.
  await sheet.getByRole('button', { name: 'Back to the design before' }).click();
  await settled(sheet);
  await expect(sheet.getByTestId('design-saved')).not.toHaveText('not saved');
  expect(await value(sheet, 'Stages')).toBe(stages);
});

test('A against B', async ({ sheet }) => {
  await sheet.getByRole('button', { name: 'Keep this design as B' }).press('Enter');
  await sheet.getByRole('textbox', { name: 'Stages', exact: true }).focus();
  await sheet.keyboard.press('ArrowUp');
  await settled(sheet);
  const table = sheet.getByTestId('compare');
  await expect(table.locator('tbody tr').first().locator('td').nth(2)).not.toHaveText('…');
  await expect(table).toContainText('3 stages');
  await expect(table).toContainText('2 stages');
  await sheet.getByRole('button', { name: 'Swap A and B' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(2);
  await sheet.getByRole('button', { name: 'Without B' }).press('Enter');
  await expect(table).toHaveCount(0);
});

test('the cautions stand in one line and are one key away', async ({ sheet }) => {
  await expect(sheet.locator('.caution .line')).toContainText(
    'Design aid. Local codes and licensed practice come first.',
  );
  await expect(sheet.locator('#cautions-whole')).toHaveCount(0);
  await sheet.locator('h1').click();
  await sheet.keyboard.press('c');
  await expect(sheet.locator('#cautions-whole')).toContainText('ISO 14971');
  await expect(sheet.locator('#cautions-whole')).toContainText('do not replace');
  await sheet.keyboard.press('c');
  await sheet.getByRole('button', { name: /cautions/ }).click();
  await expect(sheet.locator('#cautions-whole')).toContainText('fingers');
});
