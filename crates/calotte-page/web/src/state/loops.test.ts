import { describe, expect, it } from 'vitest';
import type { LoadedConfiguration, WeightsDocument } from '../api/types';
import { loopOf, withoutChord } from './loops';

const reading = (
  row: number,
  mass_kg: number,
  displacement_mm: number,
  course: 'loading' | 'unloading',
  gauge: [number, number, number] | null = [1, 0, 0],
) => ({ row, mass_kg, displacement_mm, gauge, course });

const weights = {
  readings: [
    reading(1, 0, 0, 'loading'),
    reading(2, 1, 0.5, 'loading'),
    reading(3, 2, 0.9, 'loading'),
    reading(4, 1, 0.6, 'unloading'),
    reading(5, 0, 0.1, 'unloading'),
    reading(6, 2, 7, 'loading'),
    reading(7, 1, 3, 'loading', null),
  ],
  rows: [
    { row: 2, residual_mm: [0.02, 0, 0] },
    { row: 4, residual_mm: [-0.01, 0, 0] },
    { row: 7, residual_mm: [0.3, 0.4, 9] },
  ],
} as unknown as WeightsDocument;
const at = (rows: number[], pull: [number, number, number] = [0, 0, -1]) =>
  ({ rows, pull }) as unknown as LoadedConfiguration;

describe('load–displacement loops', () => {
  it('go up as weights are put on and come down from where they ended', () => {
    const loop = loopOf(weights, at([1, 2, 3, 4, 5]));
    expect(loop.on).toEqual([
      [0, 0],
      [1, 0.5],
      [2, 0.9],
    ]);
    expect(loop.off).toEqual([
      [2, 0.9],
      [1, 0.6],
      [0, 0.1],
    ]);
  });

  it('have the fit where a row says what it misses: read less missed', () => {
    const loop = loopOf(weights, at([1, 2, 3, 4, 5]));
    expect(loop.onFitted).toEqual([[1, 0.48]]);
    expect(loop.offFitted).toEqual([[1, 0.61]]);
  });

  it('take what is missed along the pull where all three components were read', () => {
    const loop = loopOf(weights, at([7], [0.6, 0.8, 0]));
    expect(loop.onFitted[0]?.[1]).toBeCloseTo(3 - 0.5, 12);
  });

  it('hold the rows of their own configuration only', () => {
    expect(loopOf(weights, at([6])).on).toEqual([[2, 7]]);
    expect(loopOf(weights, at([])).on).toEqual([]);
  });

  it('without their chord begin and end at zero, and keep their width', () => {
    const loop = loopOf(weights, at([1, 2, 3, 4, 5]));
    const left = withoutChord(loop);
    expect(left.on[0]?.[1]).toBe(0);
    expect(left.on[2]?.[1]).toBeCloseTo(0, 12);
    const width = (of: typeof loop) => (of.off[1]?.[1] ?? 0) - (of.on[1]?.[1] ?? 0);
    expect(width(left)).toBeCloseTo(width(loop), 12);
    expect(left.onFitted[0]?.[1]).toBeCloseTo(0.48 - 0.45, 12);
    const one = loopOf(weights, at([6]));
    expect(withoutChord(one)).toEqual(one);
  });
});
