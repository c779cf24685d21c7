import { describe, expect, it } from 'vitest';
import { contourLevels, contourLines, valueSpan, type Grid } from './contour';

function grid(xs: number[], ys: number[], of: (x: number, y: number) => number | null): Grid {
  return { xs, ys, values: ys.flatMap((y) => xs.map((x) => of(x, y))) };
}

const range = (count: number, step = 1, start = 0) =>
  Array.from({ length: count }, (_, index) => start + index * step);

describe('contourLines', () => {
  // Derived: linear interpolation is exact for a plane, on uneven axes too.
  it('are exact for a plane on uneven axes', () => {
    const plane = grid([0, 1, 3, 7, 8], [10, 20, 50, 60], (x, y) => 2 * x + 0.5 * y);
    const lines = contourLines(plane, [15, 22.3, 31]);
    expect(new Set(lines.map((line) => line.level)).size).toBe(3);
    for (const { level, points, closed } of lines) {
      expect(closed).toBe(false);
      for (const [x, y] of points) expect(2 * x + 0.5 * y).toBeCloseTo(level, 10);
    }
  });

  it('end at the outermost cell centres', () => {
    const [line, ...others] = contourLines(
      grid(range(4), range(3), (x) => x),
      [1.5],
    );
    expect(others).toHaveLength(0);
    const rows = line?.points.map((point) => point[1]) ?? [];
    expect(Math.min(...rows)).toBe(0);
    expect(Math.max(...rows)).toBe(2);
    for (const [x] of line?.points ?? []) expect(x).toBeCloseTo(1.5, 12);
  });

  // Derived: a circle; the error of linear interpolation is below h²/8 of the second derivative
  // (2 along each axis), here 0.25 in the value.
  it('close around a summit', () => {
    const bowl = grid(range(21, 1, -10), range(21, 1, -10), (x, y) => x * x + y * y);
    const lines = contourLines(bowl, [36.5]);
    expect(lines).toHaveLength(1);
    expect(lines[0]?.closed).toBe(true);
    expect(lines[0]?.points[0]).toEqual(lines[0]?.points.at(-1));
    for (const [x, y] of lines[0]?.points ?? []) {
      expect(Math.abs(x * x + y * y - 36.5)).toBeLessThanOrEqual(0.25 + 1e-12);
    }
  });

  // Derived: blocks of four centres that touch the cell without value hold no line.
  it('stop before cells without a value', () => {
    const holed = grid(range(7), range(7), (x, y) => (x === 3 && y === 3 ? null : x));
    const lines = contourLines(holed, [2.5]);
    expect(lines).toHaveLength(2);
    const rows = lines.map((line) => line.points.map((point) => point[1]));
    for (const row of rows.flat()) expect(row <= 2 || row >= 4).toBe(true);
    const spans = rows.map((row) => [Math.min(...row), Math.max(...row)]);
    expect(spans.sort((a, b) => (a[0] ?? 0) - (b[0] ?? 0))).toEqual([
      [0, 2],
      [4, 6],
    ]);
  });

  // Derived: both crossings lie between cells with values, but the fourth cell is unknown.
  it('do not cut the corner of an unknown cell', () => {
    const whole = { xs: [0, 1], ys: [0, 1], values: [0, 0, 0, 1] };
    expect(contourLines(whole, [0.5])).toHaveLength(1);
    expect(contourLines({ ...whole, values: [null, 0, 0, 1] }, [0.5])).toEqual([]);
    expect(contourLines({ ...whole, values: [null, 1, 1, 0] }, [0.5])).toEqual([]);
  });

  it('are none on a single row, without values, or outside the span', () => {
    expect(
      contourLines(
        grid(range(5), [0], (x) => x),
        [2.5],
      ),
    ).toEqual([]);
    expect(
      contourLines(
        grid(range(3), range(3), () => null),
        [1],
      ),
    ).toEqual([]);
    expect(
      contourLines(
        grid(range(3), range(3), (x) => x),
        [9],
      ),
    ).toEqual([]);
  });
});

// Worked out by hand from the rule: round levels strictly within the span.
describe('levels', () => {
  it('are round and inside', () => {
    expect(contourLevels([0, null, 12], 6)).toEqual([2, 4, 6, 8, 10]);
    expect(contourLevels([5, 5], 6)).toEqual([]);
    expect(contourLevels([null], 6)).toEqual([]);
    expect(contourLevels([0, 9], 0)).toEqual([]);
  });

  it('leave out what has no value', () => {
    expect(valueSpan([null, NaN, 3, -1])).toEqual([-1, 3]);
    expect(valueSpan([null])).toBeNull();
  });
});
