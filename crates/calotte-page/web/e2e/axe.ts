/** Accessibility, by axe. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from '@playwright/test';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What axe finds wrong with the page as it stands. */
export async function findings(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { violations } = await (
      window as unknown as {
        axe: {
          run(): Promise<{
            violations: { id: string; nodes: { html: string; failureSummary: string }[] }[];
          }>;
        };
      }
    ).axe.run();
    return violations.flatMap((one) =>
      one.nodes.map(
        (node) => `${one.id}: ${node.html.slice(0, 160)} ${node.failureSummary.slice(0, 200)}`,
      ),
    );
  });
}
