/** Times are measured and reported, not asserted: they belong to a machine. */
import { expect, test } from './program';

const at = (list: number[], share: number) =>
  [...list].sort((a, b) => a - b)[Math.min(list.length - 1, Math.floor(share * list.length))]!;

for (const design of ['design.toml', 'built.toml']) {
  test.describe(design, () => {
    test.use({ design });
    test('from the hand to vertices and numbers', async ({ sheet }) => {
      for (const painted of [false, true]) {
        const found = await sheet.evaluate(async (painted) => {
          // Software painting takes every core there is. What is asked for is the time to the
          // changed vertices and numbers, so painting waits in the first of the two runs.
          const own = window.requestAnimationFrame;
          if (!painted) window.requestAnimationFrame = () => 0;
          performance.clearMeasures('drag');
          const tool = document.querySelector('[data-handle="tool"]')!;
          const box = tool.getBoundingClientRect();
          const [x, y] = [box.x + 12, box.y + 12];
          const fire = (name: string, dx: number, dy: number) =>
            tool.dispatchEvent(
              new PointerEvent(name, {
                bubbles: true,
                pointerId: 1,
                clientX: x + dx,
                clientY: y + dy,
              }),
            );
          const capture = Element.prototype.setPointerCapture;
          Element.prototype.setPointerCapture = () => {};
          fire('pointerdown', 0, 0);
          // The first moves are the browser's: it compiles what it will run.
          for (let k = 0; k < 260; k += 1) {
            if (k === 60) performance.clearMeasures('drag');
            fire('pointermove', -60 * Math.sin(k / 30), 25 * Math.sin(k / 17));
            await new Promise((done) => setTimeout(done, 20));
          }
          fire('pointerup', 0, 0);
          Element.prototype.setPointerCapture = capture;
          window.requestAnimationFrame = own;
          return performance.getEntriesByName('drag').map((one) => ({
            all: one.duration,
            computed: (one as PerformanceMeasure).detail.computed_ms as number,
            answer: (one as PerformanceMeasure).detail.answer_ms as number,
            page: (one as PerformanceMeasure).detail.document_ms as number,
          }));
        }, painted);
        expect(found.length).toBeGreaterThan(painted ? 20 : 150);
        const [all, computed] = [found.map((one) => one.all), found.map((one) => one.computed)];
        const [answer, page] = [found.map((one) => one.answer), found.map((one) => one.page)];
        console.log(
          `drag, ${design}, ${painted ? 'painting by software meanwhile' : 'painting withheld'}: ${found.length} moves, median ${at(all, 0.5).toFixed(1)} ms, 95 % ${at(all, 0.95).toFixed(1)} ms; to the answer median ${at(answer, 0.5).toFixed(1)} ms, 95 % ${at(answer, 0.95).toFixed(1)} ms, of it in the program median ${at(computed, 0.5).toFixed(2)} ms, 95 % ${at(computed, 0.95).toFixed(2)} ms; vertices and numbers median ${at(page, 0.5).toFixed(1)} ms, 95 % ${at(page, 0.95).toFixed(1)} ms`,
        );
      }
    });
  });
}

test('the first look', async ({ sheet, program }) => {
  await sheet.goto(program.address.replace(/\?.*/, ''));
  await expect(sheet.locator('[data-value="lci"]')).toBeVisible();
  const times = await sheet.evaluate(() => ({
    paint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN,
    numbers: performance.now(),
  }));
  console.log(
    `first contentful paint ${times.paint.toFixed(0)} ms, numbers of the pose by ${times.numbers.toFixed(0)} ms`,
  );
  expect(times.paint).toBeGreaterThan(0);
});
