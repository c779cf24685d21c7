import { mapIndex } from './colour';
import { VIRIDIS } from './maps';

/**
 * The edges of cells around the given centres: half way between neighbours, and mirrored at the
 * ends. A single cell gets a width of a tenth of its value, or 1 at zero. Centres must rise.
 */
export function cellEdges(centres: number[]): number[] {
  const [first, last] = [centres[0], centres.at(-1)];
  if (first === undefined || last === undefined) return [];
  if (centres.length === 1) {
    const half = first === 0 ? 0.5 : Math.abs(first) * 0.05;
    return [first - half, first + half];
  }
  const inner = centres.slice(1).map((centre, index) => (centre + (centres[index] ?? 0)) / 2);
  const [start, end] = [inner[0] ?? first, inner.at(-1) ?? last];
  return [2 * first - start, ...inner, 2 * last - end];
}

/** The cell that a place along an axis falls in, or null outside all of them. */
export function cellAt(edges: number[], value: number): number | null {
  for (let index = 0; index + 1 < edges.length; index += 1) {
    if (value >= (edges[index] ?? NaN) && value <= (edges[index + 1] ?? NaN)) return index;
  }
  return null;
}

/** Cells of one colour drawn as a single path. */
export interface ColourPath {
  /** Place in the map, 0 to 255: neighbours may share a colour. */
  index: number;
  colour: string;
  path: string;
}

/** All cells of a map: those with a value by colour, and those without in one path. */
export interface CellPaths {
  filled: ColourPath[];
  empty: string;
}

/**
 * Draws cells as one path per colour of the map, at most 256, so that a fine grid costs no more
 * nodes than a coarse one. `xs` and `ys` are cell edges in px; values are row-major.
 */
export function cellPaths(
  xs: number[],
  ys: number[],
  values: (number | null)[],
  low: number,
  high: number,
): CellPaths {
  const parts = new Map<number, string[]>();
  const empty: string[] = [];
  const columns = xs.length - 1;
  const round = (value: number) => Math.round(value * 100) / 100;
  for (let row = 0; row + 1 < ys.length; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const [left, right] = [round(xs[column] ?? 0), round(xs[column + 1] ?? 0)];
      const [bottom, top] = [round(ys[row] ?? 0), round(ys[row + 1] ?? 0)];
      const path = `M${left} ${top}H${right}V${bottom}H${left}Z`;
      const value = values[row * columns + column];
      if (value === null || value === undefined || !Number.isFinite(value)) {
        empty.push(path);
        continue;
      }
      const index = mapIndex(value, low, high);
      const same = parts.get(index);
      if (same) same.push(path);
      else parts.set(index, [path]);
    }
  }
  return {
    filled: [...parts].map(([index, list]) => ({
      index,
      colour: VIRIDIS[index] ?? '#000000',
      path: list.join(''),
    })),
    empty: empty.join(''),
  };
}
