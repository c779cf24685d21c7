/** Whole tasks, each by mouse, by keyboard and by touch, at three widths. */
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Locator, Page } from '@playwright/test';
import { expect, settled, test, type, value } from './program';

test.use({ hasTouch: true });

const WIDTHS = [800, 1280, 2560];
type Hand = 'mouse' | 'keyboard' | 'touch';

/** Presses a button as that hand does. */
async function press(hand: Hand, button: Locator): Promise<void> {
  if (hand === 'mouse') await button.click();
  else if (hand === 'touch') await button.tap();
  else {
    await button.focus();
    await button.press('Enter');
  }
}

/** Whether the whole of something lies on the page and none of its words is cut off. */
async function whole(page: Page, of: Locator): Promise<void> {
  await of.scrollIntoViewIfNeeded();
  const width = page.viewportSize()!.width;
  const cut = await of.evaluate((node) => {
    const box = node.getBoundingClientRect();
    return { left: box.left, right: box.right, over: node.scrollWidth - node.clientWidth };
  });
  expect(cut.left).toBeGreaterThanOrEqual(0);
  expect(cut.right).toBeLessThanOrEqual(width);
  expect(cut.over, await of.innerText()).toBeLessThanOrEqual(0);
}

async function wide(page: Page, width: number): Promise<void> {
  await page.setViewportSize({ width, height: 900 });
  await settled(page);
}

const button = (page: Page, name: string) => page.getByRole('button', { name, exact: true });

for (const hand of ['mouse', 'keyboard', 'touch'] as const) {
  test(`compare with B and adopt B, by ${hand}`, async ({ sheet, program }) => {
    const text = readFileSync(join(program.folder, 'design.toml'), 'utf8');
    const other = text.replace('joint_radius_mm = 140', 'joint_radius_mm = 160');
    writeFileSync(join(program.folder, 'other.toml'), other);
    for (const width of WIDTHS) {
      await wide(sheet, width);
      await press(hand, button(sheet, 'B from other.toml'));
      await settled(sheet);
      const table = sheet.getByTestId('compare');
      await expect(table.locator('tbody td:nth-child(3)').first()).not.toHaveText('…');
      await whole(sheet, table);
      const cells = await table.locator('th, td').all();
      expect(cells.length).toBeGreaterThan(15);
      for (const cell of cells) await whole(sheet, cell);
      await expect(table.locator('th').nth(2)).toContainText('B (other.toml)');
      await press(hand, button(sheet, 'Adopt B'));
      await settled(sheet);
      await expect(sheet.getByRole('group', { name: 'in their files' })).toContainText(
        'other.toml',
      );
      expect(await value(sheet, 'Joint radius, mm')).toBe(160);
      await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
      await press(hand, button(sheet, 'Undo'));
      await settled(sheet);
      expect(await value(sheet, 'Joint radius, mm')).toBe(140);
      await expect(sheet.getByRole('group', { name: 'in their files' })).toContainText(
        'design.toml',
      );
    }
    expect(readFileSync(join(program.folder, 'design.toml'), 'utf8')).toBe(text);
    expect(readFileSync(join(program.folder, 'other.toml'), 'utf8')).toBe(other);
  });

  test(`begin a brief and save it, by ${hand}`, async ({ sheet, program }) => {
    const text = sheet.getByRole('textbox', { name: 'Text of the brief' });
    const fold = sheet.locator('#need summary');
    for (const width of WIDTHS) {
      await wide(sheet, width);
      if (!(await text.isVisible())) await press(hand, fold);
      await press(hand, button(sheet, 'Work without a brief'));
      await press(hand, button(sheet, 'Begin a brief'));
      await settled(sheet);
      await expect(sheet.getByTestId('brief-saved')).toHaveText('not saved');
      // The text is there to be changed at once.
      await expect(text).toBeVisible();
      await text.focus();
      await sheet.keyboard.press('Control+Home');
      await sheet.keyboard.type(`# the need at ${width}\n`);
      await press(hand, button(sheet, 'Save under another name: the brief'));
      const name = sheet.getByRole('textbox', { name: 'New name of the brief' });
      await expect(name).toBeFocused();
      await whole(sheet, sheet.locator('header .name'));
      await sheet.keyboard.press('Control+A');
      await sheet.keyboard.type(`need-${width}.toml`);
      await press(hand, button(sheet, 'Save brief under this name'));
      await expect(sheet.getByTestId('brief-saved')).toHaveText('saved');
      await expect(sheet.getByText(`Saved as need-${width}.toml.`)).toBeVisible();
      await settled(sheet);
      const saved = readFileSync(join(program.folder, `need-${width}.toml`), 'utf8');
      expect(saved).toMatch(new RegExp(`^# the need at ${width}\n`));
      expect(program.text('analyse', 'design.toml', '--brief', `need-${width}.toml`)).not.toBe('');
    }
    rmSync(join(program.folder, 'need-800.toml'));
    await expect(sheet.getByTestId('brief-saved')).toHaveText('saved');
  });
}

test.describe('a design with its campaign', () => {
  test.use({ design: 'bench' });

  for (const hand of ['mouse', 'keyboard', 'touch'] as const) {
    test(`edit with a campaign loaded, by ${hand}`, async ({ sheet, program }) => {
      const file = join(program.folder, 'bench/design.toml');
      const measured = readFileSync(file, 'utf8');
      const question = sheet.getByTestId('save-question');
      for (const [number, width] of WIDTHS.entries()) {
        await wide(sheet, width);
        await type(sheet, 'Joint radius, mm', String(141 + number));
        await settled(sheet);
        const save = button(sheet, 'Save the design');
        await press(hand, save);
        await expect(question).toBeVisible();
        for (const words of ['bench/points.csv', 'bench/weights.csv', 'bench/design.toml']) {
          await expect(question).toContainText(words);
        }
        await whole(sheet, question);
        // Another name is offered first: it has the focus.
        const name = question.getByRole('textbox', { name: 'New name of the design' });
        await expect(name).toBeFocused();
        await sheet.keyboard.press('Escape');
        await expect(question).toHaveCount(0);
        if (hand !== 'touch') await expect(save).toBeFocused();
        expect(readFileSync(file, 'utf8')).toBe(measured);

        await press(hand, save);
        await expect(name).toHaveValue(`bench/design-${number + 2}.toml`);
        await press(hand, question.getByRole('button', { name: 'Save design under this name' }));
        await expect(question).toHaveCount(0);
        await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
        expect(readFileSync(file, 'utf8')).toBe(measured);
        const other = join(program.folder, `bench/design-${number + 2}.toml`);
        expect(readFileSync(other, 'utf8')).toContain(`joint_radius_mm = ${141 + number}`);
        // What was only made here belongs to no measurements: it is saved unasked.
        await type(sheet, 'Joint radius, mm', '139');
        await settled(sheet);
        await press(hand, save);
        await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
        await press(hand, button(sheet, 'Open bench/design.toml'));
        await settled(sheet);
      }
      await type(sheet, 'Joint radius, mm', '150');
      await settled(sheet);
      await press(hand, button(sheet, 'Save the design'));
      await press(hand, question.getByRole('button', { name: 'Replace bench/design.toml' }));
      await expect(sheet.getByTestId('design-saved')).toHaveText('saved');
      expect(readFileSync(file, 'utf8')).toContain('joint_radius_mm = 150');
    });
  }
});
