/** Change and see: every number of the linkage, undo and redo, saving and files. */
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, settled, shown, test, type, value } from './program';

const OTHER_NAME = 'Save under another name: the design';

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
  await expect(sheet.getByTestId('design-saved')).toHaveText('not saved');
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
  await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
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
  await sheet.getByRole('button', { name: OTHER_NAME }).press('Enter');
  // The field has the focus, and what is offered is replaced by what is typed.
  await sheet.keyboard.type('mine.toml');
  await sheet.keyboard.press('Enter');
  await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
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
  await expect(sheet.getByRole('group', { name: 'in their files' })).toContainText('design.toml');
  await sheet.keyboard.press('Control+s');
  await expect(sheet.getByText('Saved as design.toml.')).toBeVisible();
  expect(readFileSync(path, 'utf8')).toBe(other);
});

test('a file is not replaced unasked', async ({ sheet, program }) => {
  const brief = join(program.folder, 'brief.toml');
  const before = readFileSync(brief, 'utf8');
  await type(sheet, 'Joint radius, mm', '155');
  await settled(sheet);
  await sheet.getByRole('button', { name: OTHER_NAME }).click();
  const name = sheet.getByRole('textbox', { name: 'New name of the design' });
  await expect(name).toHaveValue('design-2.toml');
  await name.fill('brief.toml');
  const save = sheet.getByRole('button', { name: 'Save design under this name' });
  await expect(save).toBeDisabled();
  await sheet.keyboard.press('Enter');
  expect(readFileSync(brief, 'utf8')).toBe(before);
  await sheet.getByRole('checkbox', { name: 'brief.toml exists: replace it' }).check();
  await save.click();
  await expect(sheet.getByText('Saved as brief.toml.')).toBeVisible();
  expect(readFileSync(brief, 'utf8')).toContain('joint_radius_mm = 155');
});

test('a file changed in the moment of saving is left as it is, and told', async ({
  sheet,
  program,
  expected,
}) => {
  expected.faults.push(/409/);
  const path = join(program.folder, 'design.toml');
  const theirs = readFileSync(path, 'utf8').replace('= 140', '= 145');
  await type(sheet, 'Joint radius, mm', '155');
  await settled(sheet);
  // The page learns of the change only with the answer to its save.
  await sheet.route('**/api/file/save', async (route) => {
    writeFileSync(path, theirs);
    await route.continue();
  });
  await sheet.getByRole('button', { name: 'Save the design' }).click();
  await expect(sheet.getByTestId('refused')).toContainText('changed by another program');
  await expect(sheet.getByTestId('design-saved')).toHaveText('changed on disk');
  expect(readFileSync(path, 'utf8')).toBe(theirs);
});

test('design and brief each say whether they stand in their files, and when these are gone', async ({
  sheet,
  program,
}) => {
  const [design, brief] = ['design-saved', 'brief-saved'].map((id) => sheet.getByTestId(id));
  await expect(design!).toHaveText('saved');
  await expect(brief!).toHaveText('saved');
  const file = join(program.folder, 'brief.toml');
  const text = readFileSync(file, 'utf8');
  renameSync(file, join(program.folder, 'renamed.toml'));
  await expect(brief!).toHaveText('gone from disk');
  await expect(design!).toHaveText('saved');
  await expect(sheet.getByTestId('changed-on-disk')).toContainText('brief.toml is gone from disk');
  await sheet.getByRole('button', { name: 'Keep mine' }).click();
  await expect(brief!).toHaveText('not saved');
  await sheet.getByRole('button', { name: 'Save the brief' }).click();
  await expect(brief!).toHaveText('saved');
  expect(readFileSync(file, 'utf8')).toBe(text);

  rmSync(join(program.folder, 'design.toml'));
  await expect(design!).toHaveText('gone from disk');
  // Over a reload too: the page is all that has it.
  await sheet.reload();
  await settled(sheet);
  await expect(design!).toHaveText('gone from disk');
  expect(await value(sheet, 'Joint radius, mm')).toBe(140);
  await sheet.getByRole('button', { name: OTHER_NAME }).click();
  await sheet.getByRole('button', { name: 'Save design under this name' }).click();
  await expect(design!).toHaveText('saved');
  expect(readFileSync(join(program.folder, 'design-2.toml'), 'utf8')).toContain('= 140');
});

test('a reload keeps the work, undo, redo and the colouring', async ({ sheet }) => {
  await type(sheet, 'Joint radius, mm', '150');
  await settled(sheet);
  await type(sheet, 'Joint radius, mm', '160');
  await settled(sheet);
  await sheet.getByRole('button', { name: 'Undo' }).click();
  await sheet.getByRole('combobox', { name: 'The dome is coloured by' }).selectOption('stiffness');
  await sheet.getByRole('combobox', { name: 'Light or dark' }).selectOption('dark');
  await settled(sheet);
  await sheet.reload();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(150);
  await expect(sheet.getByTestId('design-saved')).toHaveText('not saved');
  await expect(sheet.getByRole('combobox', { name: 'The dome is coloured by' })).toHaveValue(
    'stiffness',
  );
  await expect(sheet.locator('html')).toHaveAttribute('data-theme', 'dark');
  await sheet.getByRole('button', { name: 'Redo' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(160);
  for (let back = 0; back < 2; back += 1) await sheet.getByRole('button', { name: 'Undo' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(140);
  await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
});

test('Escape closes what is open, and the focus goes back to what opened it', async ({ sheet }) => {
  const cautions = sheet.getByRole('button', { name: /cautions/ });
  const whole = sheet.getByRole('region', { name: 'Cautions in full' });
  for (const open of [() => cautions.click(), () => sheet.keyboard.press('c')]) {
    await open();
    await expect(whole).toBeVisible();
    await sheet.keyboard.press('Escape');
    await expect(whole).toHaveCount(0);
    await expect(cautions).toBeFocused();
  }
  // One after the other, the newest first.
  await cautions.click();
  const other = sheet.getByRole('button', { name: OTHER_NAME });
  await other.click();
  await expect(sheet.getByRole('textbox', { name: 'New name of the design' })).toBeFocused();
  await sheet.keyboard.press('Escape');
  await expect(other).toBeFocused();
  await expect(whole).toBeVisible();
  await sheet.keyboard.press('Escape');
  await expect(whole).toHaveCount(0);
  const fold = sheet.locator('#need summary');
  await fold.click();
  await sheet.getByRole('textbox', { name: 'Text of the brief' }).focus();
  await sheet.keyboard.press('Escape');
  await expect(fold).toBeFocused();
  await expect(sheet.getByRole('textbox', { name: 'Text of the brief' })).toBeHidden();
});

test('the verdict and the caution are in view at 1024 × 800, above the sheet and in it', async ({
  sheet,
}) => {
  await sheet.setViewportSize({ width: 1024, height: 800 });
  for (const scrolled of [0, 900]) {
    await sheet.evaluate((y) => scrollTo({ top: y, behavior: 'instant' }), scrolled);
    await settled(sheet);
    for (const part of [sheet.getByTestId('verdict'), sheet.locator('.strip .caution')]) {
      const cut = await part.evaluate((node) => {
        const own = node.getBoundingClientRect();
        const strip = node.closest('.strip')!.getBoundingClientRect();
        const bench = node.closest('.bench')!.getBoundingClientRect();
        const last = node.lastElementChild!.getBoundingClientRect();
        return [
          own.top - strip.top,
          strip.bottom - own.bottom,
          bench.bottom - last.bottom,
          innerHeight - last.bottom,
        ];
      });
      expect(Math.min(...cut), `${cut} at ${scrolled}`).toBeGreaterThanOrEqual(-0.5);
    }
  }
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
  await expect(sheet.getByText('“wide” is not a number')).toBeVisible();
  await sheet.keyboard.press('Escape');
  await type(sheet, 'Joint radius, mm', '0');
  await expect(sheet.getByText('give at least 0.001')).toBeVisible();
  await sheet.keyboard.press('Escape');
  await type(sheet, 'Boss diameter, mm', '90');
  await expect(sheet.getByTestId('refused')).toBeVisible();
  await sheet.getByRole('button', { name: 'Take the change back' }).click();
  await settled(sheet);
  expect(await value(sheet, 'Boss diameter, mm')).toBe(18);
});
