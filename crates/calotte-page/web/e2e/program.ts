/** The real program, its page and what must hold of every test: no console error, no
 *  failed request. */
import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { test as base, expect, type Page } from '@playwright/test';

const here = dirname(fileURLToPath(import.meta.url));
/** The measured example, with simulated faults. */
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
  /** Acts while the program stands still: none of its jobs can end meanwhile. */
  async held(act: () => Promise<void>): Promise<void> {
    this.pause();
    try {
      await act();
    } finally {
      this.resume();
    }
  }

  /** What the command line prints; exit statuses 0 and 1 are both results. */
  text(...words: string[]): string {
    try {
      return execFileSync(bin, words, { cwd: this.folder, encoding: 'utf8', stdio: 'pipe' });
    } catch (error) {
      const failed = error as { status: number; stdout: string };
      if (failed.status === 1) return failed.stdout;
      throw error;
    }
  }

  /** The same as JSON. */
  json(...words: string[]): Record<string, unknown> {
    return JSON.parse(this.text(...words));
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

/** What the page offers to the tests. */
export interface View {
  settled(): boolean;
  drawnParts(): { name: string; kind: string; marked: boolean }[];
  statistics(): { drawCalls: number; triangles: number };
  pixelOf(at: { polar: number; azimuth: number }): [number, number] | null;
  rowAt(x: number, y: number): number | null;
}
declare global {
  interface Window {
    calotteView?: View;
  }
}

/**
 * Waits until every answer belongs to the present design, is drawn, and the page lies where it
 * will stay: what the page says of itself, over three frames in which layout and drawing found
 * nothing left to do. Drawn by software a frame can take seconds.
 */
export async function settled(page: Page): Promise<void> {
  await expect(page.locator('[data-value=lci]')).toBeVisible();
  await expect(page.locator('[data-handle=tool]')).toHaveCount(1);
  await expect(page.getByTestId('verdict').locator('strong')).toBeVisible();
  await expect(page.locator('[aria-busy="true"]')).toHaveCount(0);
  await expect(page.locator('[data-standing]')).toHaveCount(0, { timeout: 30_000 });
  await page.evaluate(async () => {
    const until = performance.now() + 60_000;
    for (let still = 0; still < 3;) {
      await new Promise((done) => requestAnimationFrame(done));
      still = window.calotteView?.settled() ? still + 1 : 0;
      if (performance.now() > until) throw new Error('the page did not settle within a minute');
    }
  });
}

/** Middle of a handle on the screen. */
export async function middle(page: Page, handle: string): Promise<{ x: number; y: number }> {
  const box = (await page.locator(`[data-handle="${handle}"]`).boundingBox())!;
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
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

/** Times of one move of a drag, ms: whole, in the program, to its answer, in the document. */
export interface Move {
  all: number;
  computed: number;
  answer: number;
  page: number;
}

/**
 * Drags the tool to and fro and gives the times of its moves. The next move is made 20 ms after
 * the one before, and not before that one was answered, so that as many moves are measured as
 * were asked for, however busy the machine is. The first moves are left out: the browser
 * compiles what it will run.
 *
 * @param painted Without it painting waits: by software it takes every core there is, where
 *   what is asked for is the time to the changed vertices and numbers.
 */
export async function dragged(
  page: Page,
  moves: { first: number; counted: number; painted: boolean },
): Promise<Move[]> {
  const found = await page.evaluate(async ({ first, counted, painted }) => {
    const own = window.requestAnimationFrame;
    const withheld: FrameRequestCallback[] = [];
    if (!painted) window.requestAnimationFrame = (frame) => withheld.push(frame);
    performance.clearMeasures('drag');
    const answered = () => performance.getEntriesByName('drag').length;
    const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));
    const tool = document.querySelector('[data-handle="tool"]')!;
    const box = tool.getBoundingClientRect();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const fire = (name: string, dx: number, dy: number) =>
      tool.dispatchEvent(
        new PointerEvent(name, { bubbles: true, pointerId: 1, clientX: x + dx, clientY: y + dy }),
      );
    const capture = Element.prototype.setPointerCapture;
    Element.prototype.setPointerCapture = () => {};
    fire('pointerdown', 0, 0);
    for (let k = 0; k < first + counted; k += 1) {
      if (k === first) performance.clearMeasures('drag');
      const before = answered();
      fire('pointermove', -60 * Math.sin(k / 30), 25 * Math.sin(k / 17));
      await pause(20);
      for (let waits = 0; answered() === before && waits < 1000; waits += 1) await pause(5);
    }
    fire('pointerup', 0, 0);
    Element.prototype.setPointerCapture = capture;
    window.requestAnimationFrame = own;
    for (const frame of withheld) requestAnimationFrame(frame);
    return performance.getEntriesByName('drag').map((one) => {
      const { detail } = one as PerformanceMeasure;
      return {
        all: one.duration,
        computed: detail.computed_ms as number,
        answer: detail.answer_ms as number,
        page: detail.document_ms as number,
      };
    });
  }, moves);
  expect(found).toHaveLength(moves.counted);
  return found;
}

/** Middle and 95 % of one of the times, in words. */
export function times(moves: Move[], which: keyof Move, digits = 1): string {
  const sorted = moves.map((one) => one[which]).sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!.toFixed(digits);
  return `median ${at(0.5)} ms, 95 % ${at(0.95)} ms`;
}
