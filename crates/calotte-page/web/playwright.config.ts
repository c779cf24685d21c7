import { defineConfig } from '@playwright/test';
import { chromiumPath } from './pictures/chromium.mjs';

if (!process.env.CALOTTE_BIN) {
  throw new Error('CALOTTE_BIN names no program: run `cargo xtask test --only page-browser`');
}

export default defineConfig({
  testDir: 'e2e',
  timeout: 90_000,
  expect: { timeout: 15_000 },
  // Software drawing needs a core of its own; a test that fails is not tried again.
  workers: 1,
  retries: 0,
  forbidOnly: true,
  use: {
    viewport: { width: 1280, height: 900 },
    screenshot: 'only-on-failure',
    launchOptions: {
      executablePath: chromiumPath(),
      args: [
        '--no-sandbox',
        '--use-angle=swiftshader',
        '--enable-unsafe-swiftshader',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    },
  },
});
