/** Times are measured and reported, not asserted: they belong to a machine. */
import { dragged, expect, test, times } from './program';

for (const design of ['design.toml', 'built.toml']) {
  test.describe(design, () => {
    test.use({ design });
    test('from the hand to vertices and numbers', async ({ sheet }) => {
      for (const painted of [false, true]) {
        const counted = painted ? 50 : 200;
        const moves = await dragged(sheet, { first: painted ? 10 : 60, counted, painted });
        console.log(
          `drag, ${design}, ${painted ? 'painting by software meanwhile' : 'painting withheld'}: ${moves.length} moves, ${times(moves, 'all')}; to the answer ${times(moves, 'answer')}, of it in the program ${times(moves, 'computed', 2)}; vertices and numbers ${times(moves, 'page')}`,
        );
      }
    });
  });
}

test('the first look', async ({ sheet, program }) => {
  await sheet.goto(program.address.replace(/\?.*/, ''));
  await expect(sheet.locator('[data-value="lci"]')).toBeVisible();
  const found = await sheet.evaluate(async () => {
    const numbers = performance.now();
    // Numbers can stand in the document before the browser has painted anything: by software
    // and beside other work that takes it a while.
    const paint = await new Promise<number>((done) => {
      new PerformanceObserver((list, observer) => {
        const first = list.getEntriesByName('first-contentful-paint')[0];
        if (!first) return;
        observer.disconnect();
        done(first.startTime);
      }).observe({ type: 'paint', buffered: true });
    });
    return { paint, numbers };
  });
  console.log(
    `first contentful paint ${found.paint.toFixed(0)} ms, numbers of the pose by ${found.numbers.toFixed(0)} ms`,
  );
  expect(found.paint).toBeGreaterThan(0);
});
