/** Change and see: every number of the linkage, undo and redo, saving and files. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, settled, shown, test, type, value } from './program';

test('numbers of the sentence are typed and the analysis follows', async ({ sheet }) => {
  let before = await shown(sheet, 'stiffness');
  for (const [label, text] of [
    ['Arc angle, °', '22'],
    ['Bend, °', '4'],
    ['Joint radius, mm', '150'],
    ['Section across the bar', '18'],
    ['Section along the radius, mm', '10'],
    ['Joint stiffness, axial, N/m', '4e6'],
    ['Joint stiffness, radial, N/m', '5e6'],
    ['Joint stiffness, tilt, N·m/rad', '700'],
    ['Boss diameter, mm', '16'],
    ['Tip radius, mm', '105'],
  ] as const) {
    await type(sheet, label, text);
    await settled(sheet);
    expect(await value(sheet, label), label).toBe(Number(text));
    const now = await shown(sheet, 'stiffness');
    expect(now, `${label} moves the stiffness`).not.toBe(before);
    before = now;
  }
  await expect(sheet.getByTestId('saved')).toHaveText('not saved');
});

test('words of the sentence are chosen with the keyboard', async ({ sheet }) => {
  for (const [label, word, words] of [
    ['Material', 'PA12 laser-sintered', 'PA12 laser-sintered'],
    ['Section shape', 'tube', 'tube'],
    ['Drive layout', 'two-bars', 'two bars'],
    ['Tool carried by', 'bisector', 'a bisector'],
    ['Joints', 'rigid', 'rigid'],
    ['Family', 'two-arc-arm', 'Two-arc arm'],
  ] as const) {
    const select = sheet.getByRole('combobox', { name: label, exact: true });
    await select.focus();
    // Typing the beginning of a choice takes it, as in any list of a browser.
    await sheet.keyboard.type(words);
    await expect(select).toHaveValue(word);
    await settled(sheet);
  }
  await expect(sheet.getByRole('textbox', { name: 'First arc, °', exact: true })).toBeVisible();
});

test('stages keep the total arc; undo and redo by key and by button', async ({ sheet }) => {
  const total = await value(sheet, 'Total arc per branch, °');
  const field = sheet.getByRole('textbox', { name: 'Stages', exact: true });
  await field.focus();
  await sheet.keyboard.press('ArrowUp');
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(3);
  expect(await value(sheet, 'Total arc per branch, °')).toBeCloseTo(total, 6);
  await sheet.locator('h1').click();
  await sheet.keyboard.press('Control+z');
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(2);
  await sheet.keyboard.press('Control+Shift+z');
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(3);
  await sheet.getByRole('button', { name: 'Undo' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Stages')).toBe(2);
  await expect(sheet.getByTestId('saved')).toHaveText('saved');
});

test('each arc by itself, and the mount', async ({ sheet }) => {
  await type(sheet, 'Proximal arc of stage 2', '25');
  await settled(sheet);
  await expect(sheet.getByTestId('linkage-sentence')).toContainText('unequal arcs');
  await type(sheet, 'Mount tilt, °', '30');
  await settled(sheet);
  expect(await value(sheet, 'Mount tilt, °')).toBeCloseTo(30, 6);
});

test('a design edited is saved, read by the commands, reopened and equal', async ({
  sheet,
  program,
}) => {
  await type(sheet, 'Joint radius, mm', '155');
  await settled(sheet);
  const name = sheet.getByRole('textbox', { name: 'File of the design' });
  await name.focus();
  await sheet.keyboard.press('Control+A');
  await sheet.keyboard.type('mine.toml');
  await sheet.getByRole('button', { name: 'Save the design' }).press('Enter');
  await expect(sheet.getByTestId('saved')).toHaveText('saved');
  const gci = await sheet.locator('tr[data-quantity="gci"] td:nth-child(3)').innerText();
  const answer = program.json('analyse', 'mine.toml', '--brief', 'brief.toml', '--json');
  expect((answer.conditioning as { gci: number }).gci.toFixed(3)).toBe(gci);
  const first = readFileSync(join(program.folder, 'mine.toml'), 'utf8');
  expect(first).toContain('joint_radius_mm = 155');

  await sheet.getByRole('button', { name: 'Open design.toml' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(140);
  await sheet.getByRole('button', { name: 'Open mine.toml' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(155);
  await sheet.locator('h1').click();
  await sheet.keyboard.press('Control+s');
  await expect(sheet.getByText('Saved as mine.toml.')).toBeVisible();
  expect(readFileSync(join(program.folder, 'mine.toml'), 'utf8')).toBe(first);
});

test('what is taken back belongs to its own file again and is never saved over another', async ({
  sheet,
  program,
}) => {
  const path = join(program.folder, 'other.toml');
  const other = readFileSync(join(program.folder, 'design.toml'), 'utf8').replace(
    'joint_radius_mm = 140',
    'joint_radius_mm = 160',
  );
  writeFileSync(path, other);
  await sheet.getByRole('button', { name: 'Open other.toml' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(160);
  await sheet.getByRole('button', { name: 'Undo' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(140);
  await expect(sheet.locator('h1')).toContainText('design.toml');
  await sheet.keyboard.press('Control+s');
  await expect(sheet.getByText('Saved as design.toml.')).toBeVisible();
  expect(readFileSync(path, 'utf8')).toBe(other);
});

test('a file is not replaced unasked', async ({ sheet, expected }) => {
  expected.faults.push(/409/);
  await type(sheet, 'Joint radius, mm', '155');
  await settled(sheet);
  await type(sheet, 'File of the design', 'brief.toml');
  await sheet.getByRole('button', { name: 'Save the design' }).click();
  await expect(sheet.getByTestId('refused')).toBeVisible();
});

test('a file changed on disk is noticed and read again, or not', async ({ sheet, program }) => {
  const path = join(program.folder, 'design.toml');
  const text = readFileSync(path, 'utf8');
  writeFileSync(path, text.replace('joint_radius_mm = 140', 'joint_radius_mm = 145'));
  await expect(sheet.getByTestId('changed-on-disk')).toContainText('design.toml changed on disk');
  await sheet.getByRole('button', { name: 'Read it again' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(145);
  writeFileSync(path, text);
  await expect(sheet.getByTestId('changed-on-disk')).toBeVisible();
  await sheet.getByRole('button', { name: 'Keep mine' }).press('Enter');
  await expect(sheet.getByTestId('changed-on-disk')).toHaveCount(0);
  expect(await value(sheet, 'Joint radius, mm')).toBe(145);
});

test('a number that cannot be is refused where it stands, and one that fails can be taken back', async ({
  sheet,
  expected,
}) => {
  expected.faults.push(/422/);
  await type(sheet, 'Arc angle, °', 'wide');
  await expect(sheet.getByText('“wide” is no number')).toBeVisible();
  await sheet.keyboard.press('Escape');
  await type(sheet, 'Boss diameter, mm', '90');
  await expect(sheet.getByTestId('refused')).toBeVisible();
  await sheet.getByRole('button', { name: 'Take the change back' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Boss diameter, mm')).toBe(18);
});
