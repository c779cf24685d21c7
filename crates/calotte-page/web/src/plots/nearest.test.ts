import { describe, expect, it } from 'vitest';
import { PointIndex } from './nearest';

/** Numbers that look random but are the same each time (minimal standard generator). */
function* numbers(seed: number): Generator<number, never> {
  let state = seed;
  for (;;) {
    state = (state * 16807) % 2147483647;
    yield state / 2147483647;
  }
}

describe('PointIndex', () => {
  const random = numbers(7);
  const count = 2000;
  const xs = Float64Array.from({ length: count }, () => random.next().value * 800 - 100);
  const ys = Float64Array.from({ length: count }, () => random.next().value * 400);
  xs[17] = NaN;
  ys[18] = Infinity;
  const index = new PointIndex(xs, ys, 12);

  // Derived: the plain search over all points.
  it('finds what a search over all points finds', () => {
    for (let round = 0; round < 300; round += 1) {
      const [x, y] = [random.next().value * 1000 - 200, random.next().value * 500 - 50];
      let best: number | null = null;
      let least = 20 ** 2;
      for (let at = 0; at < count; at += 1) {
        const distance = ((xs[at] ?? 0) - x) ** 2 + ((ys[at] ?? 0) - y) ** 2;
        if (distance < least) [least, best] = [distance, at];
      }
      expect(index.nearest(x, y, 20)).toBe(best);
    }
  });

  it('finds all points of a rectangle, whichever corner comes first', () => {
    const expected: number[] = [];
    for (let at = 0; at < count; at += 1) {
      const [x, y] = [xs[at] ?? NaN, ys[at] ?? NaN];
      if (x >= 50 && x <= 300 && y >= 100 && y <= 222) expected.push(at);
    }
    expect(expected.length).toBeGreaterThan(10);
    expect(index.inside(50, 100, 300, 222)).toEqual(expected);
    expect(index.inside(300, 222, 50, 100)).toEqual(expected);
  });

  it('takes the first of points at one place, and knows when there is none', () => {
    const pair = new PointIndex([5, 5], [5, 5]);
    expect(pair.nearest(5, 5, 1)).toBe(0);
    expect(pair.nearest(50, 5, 1)).toBeNull();
    expect(new PointIndex([], []).nearest(0, 0, 100)).toBeNull();
    expect(new PointIndex([NaN], [1]).inside(-9, -9, 9, 9)).toEqual([]);
  });
});
