/** The real program, its page and what must hold of every test: no console error, no
 *  failed request. */
import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { test as base, expect, type Page } from '@playwright/test';

const here = dirname(fileURLToPath(import.meta.url));
/** The measured example, with planted faults. */
export const BENCH = join(
  process.env.CALOTTE_EXAMPLES ?? join(here, '../../../../examples'),
  'head-dome/bench',
);
const bin = process.env.CALOTTE_BIN ?? '';

export class Program {
  folder: string;
  address = '';
  port = 0;
  log = '';
  #child: ChildProcess | null = null;

  /**
   * `design`: the file of e2e/data that is opened as design.toml; `bench`: the measured
   * example instead, with its points and weights in a folder below.
   */
  constructor(design = 'design.toml') {
    this.folder = mkdtempSync(join(tmpdir(), 'calotte-page-'));
    if (design === 'bench') {
      mkdirSync(join(this.folder, 'bench'));
      for (const name of ['design.toml', 'points.csv', 'weights.csv']) {
        copyFileSync(join(BENCH, name), join(this.folder, 'bench', name));
      }
    } else copyFileSync(join(here, 'data', design), join(this.folder, 'design.toml'));
    copyFileSync(join(here, 'data', 'brief.toml'), join(this.folder, 'brief.toml'));
  }

  async start(port = 0): Promise<void> {
    const child = spawn(bin, ['page', this.folder, '--no-open', '--port', String(port)]);
    this.#child = child;
    child.stderr.on('data', (text) => (this.log += text));
    this.address = await new Promise<string>((done, failed) => {
      let said = '';
      child.stdout.on('data', (text) => {
        said += text;
        const found = /http:\/\/\S+/.exec(said);
        if (found) done(found[0]);
      });
      child.on('exit', (status) => failed(new Error(`ended with ${status}: ${this.log}`)));
    });
    this.port = Number(new URL(this.address).port);
  }

  async stop(): Promise<void> {
    const child = this.#child;
    this.#child = null;
    if (!child || child.exitCode !== null) return;
    const ended = new Promise((done) => child.once('exit', done));
    child.kill('SIGKILL');
    await ended;
  }

  pause(): void {
    this.#child?.kill('SIGSTOP');
  }
  resume(): void {
    this.#child?.kill('SIGCONT');
  }

  /** What the command line says, as JSON; exit statuses 0 and 1 are both results. */
  json(...words: string[]): Record<string, unknown> {
    try {
      return JSON.parse(
        execFileSync(bin, words, { cwd: this.folder, encoding: 'utf8', stdio: 'pipe' }),
      );
    } catch (error) {
      const failed = error as { status: number; stdout: string };
      if (failed.status === 1) return JSON.parse(failed.stdout);
      throw error;
    }
  }

  remove(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Faults that a test brings about on purpose, by a part of their text. */
export interface Expected {
  faults: RegExp[];
}

export const test = base.extend<{
  design: string;
  program: Program;
  expected: Expected;
  sheet: Page;
}>({
  design: ['design.toml', { option: true }],
  program: async ({ design }, use) => {
    const program = new Program(design);
    await program.start();
    await use(program);
    await program.stop();
    program.remove();
  },
  // eslint-disable-next-line no-empty-pattern
  expected: async ({}, use) => {
    await use({ faults: [] });
  },
  sheet: async ({ page, program, expected }, use) => {
    const faults: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error') faults.push(`console: ${message.text()}`);
    });
    page.on('pageerror', (error) => faults.push(`error: ${error.message}`));
    page.on('requestfailed', (request) => {
      const why = request.failure()?.errorText ?? '';
      // A stream that the page itself ended.
      if (why !== 'net::ERR_ABORTED') faults.push(`request: ${request.url()} ${why}`);
    });
    page.on('response', (response) => {
      if (response.status() >= 400) faults.push(`status ${response.status()}: ${response.url()}`);
    });
    await page.goto(program.address);
    await settled(page);
    await use(page);
    const unexpected = faults.filter((fault) => !expected.faults.some((one) => one.test(fault)));
    expect(unexpected).toEqual([]);
  },
});
export { expect };

/** Waits until every answer belongs to the present design. */
export async function settled(page: Page): Promise<void> {
  await expect(page.locator('[data-value=lci]')).toBeVisible();
  await expect(page.locator('[data-handle=tool]')).toHaveCount(1);
  await expect(page.getByTestId('verdict').locator('strong')).toBeVisible();
  await expect(page.locator('[aria-busy="true"]')).toHaveCount(0);
  // Handles follow the layout, which follows the words of the summary.
  await page.waitForTimeout(200);
  await expect(page.locator('[data-standing]')).toHaveCount(0, { timeout: 30_000 });
}

/** Text of a number on the page, without its unit. */
export async function shown(page: Page, name: string): Promise<string> {
  const text = await page.locator(`[data-value="${name}"]`).innerText();
  return text
    .replace(/\u2212/g, '-')
    .replace(/[^\d.,eE+ -].*$/, '')
    .trim();
}

/** Writes a number into a field and takes it, by the keyboard alone. */
export async function type(page: Page, label: string | RegExp, value: string): Promise<void> {
  const field = page.getByRole('textbox', { name: label, exact: true });
  await field.focus();
  await page.keyboard.press('Control+A');
  await page.keyboard.type(value);
  await page.keyboard.press('Enter');
}

export async function value(page: Page, label: string | RegExp): Promise<number> {
  const text = await page.getByRole('textbox', { name: label, exact: true }).inputValue();
  return Number(text.replace(/\u2212/g, '-'));
}
