import { describe, expect, it } from 'vitest';
import { between, directionOf, turned, vectorOf } from './sphere';

describe('directions', () => {
  it('go to vectors and back', () => {
    for (const direction of [
      { polar: 30, azimuth: 40 },
      { polar: 150, azimuth: 359 },
      { polar: 90, azimuth: 180 },
    ]) {
      const back = directionOf(vectorOf(direction));
      expect(back.polar).toBeCloseTo(direction.polar, 10);
      expect(back.azimuth).toBeCloseTo(direction.azimuth, 10);
    }
  });
  it('lie as far apart as their angles say', () => {
    expect(
      between(vectorOf({ polar: 20, azimuth: 7 }), vectorOf({ polar: 65, azimuth: 7 })),
    ).toBeCloseTo(45, 10);
  });
  it('are turned by a rotation row by row', () => {
    // A quarter turn about z takes x to y.
    expect(turned([0, -1, 0, 1, 0, 0, 0, 0, 1], [1, 0, 0])).toEqual([0, 1, 0]);
  });
});
