import { extent, ticks } from 'd3-array';
import { contours } from 'd3-contour';

/** A line on which the value is the same everywhere, in the units of the axes. */
export interface ContourLine {
  level: number;
  points: [number, number][];
  closed: boolean;
}

/** Values on a grid: row-major, one row of x values per y value; null where there is none. */
export interface Grid {
  xs: number[];
  ys: number[];
  values: (number | null)[];
}

/** Lowest and highest value of a grid, or null if no cell has a value. */
export function valueSpan(values: (number | null)[]): [number, number] | null {
  const [low, high] = extent(values, (value) =>
    value !== null && Number.isFinite(value) ? value : undefined,
  );
  return low === undefined || high === undefined ? null : [low, high];
}

/** About `count` round levels strictly within the values of a grid. */
export function contourLevels(values: (number | null)[], count: number): number[] {
  const span = valueSpan(values);
  if (!span || count < 1 || span[0] === span[1]) return [];
  return ticks(span[0], span[1], count).filter((level) => level > span[0] && level < span[1]);
}

/** Value of a cell, or null outside the grid and where there is none. */
function cellValue(grid: Grid, column: number, row: number): number | null {
  if (column < 0 || row < 0 || column >= grid.xs.length || row >= grid.ys.length) return null;
  const value = grid.values[row * grid.xs.length + column];
  return value !== null && value !== undefined && Number.isFinite(value) ? value : null;
}

/**
 * The true place of a crossing. The tracer puts it half way between two neighbouring cell
 * centres (one coordinate whole, the other at a half); the place is found here by linear
 * interpolation, in the units of the axes, so that uneven axes come out right.
 */
function crossing(grid: Grid, x: number, y: number, level: number): [number, number] | null {
  const across = Number.isInteger(x);
  const [column, row] = across ? [x - 1, Math.floor(y)] : [Math.floor(x), y - 1];
  const [nextColumn, nextRow] = across ? [column + 1, row] : [column, row + 1];
  const here = cellValue(grid, column, row);
  const there = cellValue(grid, nextColumn, nextRow);
  if (here === null || there === null) return null;
  const share = there === here ? 0.5 : (level - here) / (there - here);
  const between = (axis: number[], from: number, to: number) => {
    const [start, end] = [axis[from] ?? NaN, axis[to] ?? NaN];
    return start + share * (end - start);
  };
  return [between(grid.xs, column, nextColumn), between(grid.ys, row, nextRow)];
}

/** Whether all four cells around the stretch between two crossings have a value. */
function blockIsWhole(grid: Grid, from: number[], to: number[]): boolean {
  const column = Math.floor(((from[0] ?? 0) + (to[0] ?? 0)) / 2 - 0.5);
  const row = Math.floor(((from[1] ?? 0) + (to[1] ?? 0)) / 2 - 0.5);
  return [0, 1].every((right) =>
    [0, 1].every((down) => cellValue(grid, column + right, row + down) !== null),
  );
}

/** Cuts a traced ring into the stretches that run between cells with values only. */
function cutRing(grid: Grid, ring: number[][], level: number): ContourLine[] {
  const count = ring.length - 1;
  const places = ring.slice(0, count).map(([x = 0, y = 0]) => crossing(grid, x, y, level));
  const kept = places.map((place, index) => {
    const next = (index + 1) % count;
    return (
      place !== null &&
      places[next] !== null &&
      blockIsWhole(grid, ring[index] ?? [], ring[next] ?? [])
    );
  });
  const broken = kept.indexOf(false);
  if (broken < 0) {
    return [{ level, points: [...places, places[0]] as [number, number][], closed: true }];
  }
  const lines: ContourLine[] = [];
  let points: [number, number][] = [];
  // Starting behind a break, no stretch is split by where the ring happens to begin.
  for (let step = 1; step <= count; step += 1) {
    const index = (broken + step) % count;
    if (kept[index]) {
      if (points.length === 0) points.push(places[index] as [number, number]);
      points.push(places[(index + 1) % count] as [number, number]);
    } else if (points.length > 0) {
      lines.push({ level, points, closed: false });
      points = [];
    }
  }
  return lines;
}

/**
 * Lines of equal value between the cell centres of a grid, by marching squares. No line runs
 * next to a cell without a value, nor outside the outermost cell centres: nothing is known there.
 */
export function contourLines(grid: Grid, levels: number[]): ContourLine[] {
  const [width, height] = [grid.xs.length, grid.ys.length];
  if (width < 2 || height < 2) return [];
  const trace = contours().size([width, height]).smooth(false);
  const values = grid.values.map((value) => value ?? NaN);
  return levels.flatMap((level) =>
    trace
      .contour(values, level)
      .coordinates.flatMap((polygon) => polygon.flatMap((ring) => cutRing(grid, ring, level))),
  );
}
