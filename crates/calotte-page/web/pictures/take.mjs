// Takes the pictures of the page: both themes at three widths, and the one that opens
// README.md. Run from this folder's parent, with the program built:
//   CALOTTE_BIN=../../../target/release/calotte node pictures/take.mjs FOLDER
// Without FOLDER only docs/pictures/page.png is written.
import { spawn } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from '@playwright/test';
import { chromiumPath } from './chromium.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const bin = process.env.CALOTTE_BIN;
if (!bin) throw new Error('CALOTTE_BIN names no program');
const folder = mkdtempSync(join(tmpdir(), 'calotte-pictures-'));
for (const name of ['design.toml', 'brief.toml']) {
    copyFileSync(join(here, '..', 'e2e', 'data', name), join(folder, name));
}
const example = join(here, '../../../../examples/head-dome/brief.toml');
copyFileSync(example, join(folder, 'brief.toml'));

const program = spawn(bin, ['page', folder, '--no-open']);
const address = await new Promise((done, failed) => {
    program.stdout.on('data', (text) => {
        const found = /http:\/\/\S+/.exec(String(text));
        if (found) done(found[0]);
    });
    program.on('exit', () => failed(new Error('the program ended')));
});

const browser = await chromium.launch({
    executablePath: chromiumPath(),
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'],
});

async function open(width, height, colorScheme) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme });
    const page = await context.newPage();
    await page.goto(address);
    return { page, context };
}

async function settle(page) {
    await page.locator('[data-value="lci"]').waitFor();
    await page.waitForFunction(
        () => !document.querySelector('[data-standing], [aria-busy="true"]'),
    );
    await page.waitForTimeout(1500);
}

async function prepared(width, height, colorScheme) {
    const { page, context } = await open(width, height, colorScheme);
    await settle(page);
    await page.getByRole('combobox', { name: 'The dome is coloured by' }).selectOption('stiffness');
    await page.getByRole('combobox', { name: 'Load', exact: true }).selectOption('case:press');
    await page.getByRole('checkbox', { name: /deflected outline/ }).check();
    await settle(page);
    return { page, context };
}

const opening = await prepared(1440, 1000, 'light');
const target = resolve(here, '../../../../docs/pictures/page.png');
await opening.page.screenshot({ path: target });
await opening.context.close();
const out = process.argv[2];
if (out) {
    mkdirSync(out, { recursive: true });
    for (const theme of ['light', 'dark']) {
        for (const [width, height] of [
            [800, 1000],
            [1280, 800],
            [2560, 1300],
        ]) {
            const { page, context } = await prepared(width, height, theme);
            await page.screenshot({ path: join(out, `${theme}-${width}.png`) });
            await page.screenshot({
                path: join(out, `${theme}-${width}-whole.png`),
                fullPage: true,
            });
            await context.close();
        }
    }
}
await browser.close();
program.kill();
rmSync(folder, { recursive: true, force: true });
