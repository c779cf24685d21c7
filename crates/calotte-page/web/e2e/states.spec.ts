/** Honest states: no WebGL, the program gone and back, stale and failed answers; both
 *  themes and three widths without a finding of axe. */
import { findings } from './axe';
import { expect, settled, test, type, value } from './program';

for (const theme of ['light', 'dark'] as const) {
  test(`axe finds nothing, ${theme}`, async ({ sheet }) => {
    await sheet.getByRole('combobox', { name: 'Light or dark' }).selectOption(theme);
    await sheet.getByRole('combobox', { name: 'Load', exact: true }).selectOption('case:press');
    await sheet.locator('h1').click();
    await sheet.keyboard.press('c');
    await settled(sheet);
    for (const width of [800, 1280, 2560]) {
      await sheet.setViewportSize({ width, height: 900 });
      await settled(sheet);
      expect(await findings(sheet), `${theme} at ${width}`).toEqual([]);
      const over = await sheet.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(over, `no sideways scrolling at ${width}`).toBe(0);
    }
  });
}

test('without WebGL a flat projection is shown and everything still moves', async ({
  sheet,
  program,
}) => {
  await sheet.addInitScript(() => {
    const own = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (
      this: HTMLCanvasElement,
      kind: string,
      ...rest: unknown[]
    ) {
      return kind.startsWith('webgl')
        ? null
        : (own as (...all: unknown[]) => unknown).call(this, kind, ...rest);
    } as typeof own;
  });
  await sheet.goto(program.address.replace(/\?.*/, ''));
  await settled(sheet);
  await expect(sheet.getByText(/showing a flat projection/)).toBeVisible();
  expect(await sheet.locator('.frame > svg *').count()).toBeGreaterThan(100);
  const before = await value(sheet, 'Azimuth, °');
  await sheet.locator('[data-handle="tool"]').focus();
  await sheet.keyboard.press('ArrowRight');
  await settled(sheet);
  expect(await value(sheet, 'Azimuth, °')).toBeCloseTo(before + 1, 1);
});

test('the program gone: said, nothing lost, and taken up when it is back', async ({
  sheet,
  program,
  expected,
}) => {
  expected.faults.push(
    /ERR_CONNECTION|ERR_INCOMPLETE|ERR_EMPTY|ERR_SOCKET|status 403|WebSocket|Failed to load|Failed to fetch|console: /,
  );
  await type(sheet, 'Joint radius, mm', '151');
  await settled(sheet);
  const { port } = program;
  await program.stop();
  await expect(sheet.getByTestId('gone')).toBeVisible();
  await type(sheet, 'Joint radius, mm', '152');
  await program.start(port);
  // A new run has a new token: the page is opened at the address it prints, and finds the work.
  await sheet.goto(program.address);
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(152);
  await expect(sheet.getByTestId('design-saved')).toHaveText('not saved');
});

test('the program silent for a while: the page goes on by itself', async ({ sheet, program }) => {
  program.pause();
  await type(sheet, 'Joint radius, mm', '153');
  await expect(sheet.locator('[data-standing]').first()).toBeVisible();
  program.resume();
  await settled(sheet);
  expect(await value(sheet, 'Joint radius, mm')).toBe(153);
});

test('a brief with a mistake says line and key, and the page lives on', async ({
  sheet,
  expected,
}) => {
  expected.faults.push(/422/);
  await sheet.locator('#need summary').click();
  await sheet.getByRole('textbox', { name: 'Text of the brief' }).fill('[region]\nshap = "cap"\n');
  await sheet.getByRole('button', { name: 'Take the text' }).click();
  await expect(sheet.getByTestId('brief-problems')).toContainText('line 2');
  await sheet.getByRole('button', { name: 'Undo' }).click();
  await settled(sheet);
  await expect(sheet.getByTestId('brief-problems')).toHaveCount(0);
});

test('without a brief nothing is required', async ({ sheet }) => {
  await sheet.locator('#need summary').click();
  await sheet.getByRole('button', { name: 'Work without a brief' }).press('Enter');
  await settled(sheet);
  await expect(sheet.getByTestId('verdict').locator('strong')).toHaveText('no limits given');
});
