import { describe, expect, it } from 'vitest';
import { nonDominated } from './front';

/** By its definition, pair by pair. */
function byPairs(
  points: { x: number; y: number; met: boolean }[],
  moreX: boolean,
  moreY: boolean,
): Set<number> {
  const asGood = (a: number, b: number, more: boolean) => (more ? a >= b : a <= b);
  return new Set(
    points.flatMap((one, at) => {
      const dominated = points.some(
        (other) =>
          other.met &&
          asGood(other.x, one.x, moreX) &&
          asGood(other.y, one.y, moreY) &&
          (other.x !== one.x || other.y !== one.y),
      );
      return one.met && !dominated ? [at] : [];
    }),
  );
}

describe('the front of two quantities', () => {
  it('is that of the definition, for every sense, with equal points and points that miss', () => {
    let state = 7;
    const random = () => (state = (state * 48271) % 2147483647) / 2147483647;
    for (let trial = 0; trial < 200; trial += 1) {
      const points = Array.from({ length: 40 }, () => ({
        x: Math.floor(random() * 9),
        y: Math.floor(random() * 9),
        met: random() < 0.7,
      }));
      for (const moreX of [true, false]) {
        for (const moreY of [true, false]) {
          expect(nonDominated(points, moreX, moreY)).toEqual(byPairs(points, moreX, moreY));
        }
      }
    }
  });

  it('leaves out what has no value', () => {
    const points = [
      { x: NaN, y: 9, met: true },
      { x: 1, y: 1, met: true },
    ];
    expect(nonDominated(points, true, true)).toEqual(new Set([1]));
    expect(nonDominated([], true, true)).toEqual(new Set());
  });
});
