import type { LineLook, Tone } from './types';

/** One line of a chart; a point whose second number is null is a gap. */
export interface Line {
  id: string;
  name: string;
  points: [number, number | null][];
  dashed?: boolean;
  tone?: Tone;
  /** A dot at every point. */
  dots?: boolean;
}

const TONES: Tone[] = ['first', 'second', 'soft'];
const DASHES = ['7 4', '2 3', '10 3 2 3'];

/**
 * Gives each line its look. Tones that are not asked for are dealt out in turn, after one round
 * with dashes; dashed lines of one tone get different patterns, so that no two look the same
 * unless asked for.
 */
export function lineLooks(lines: Pick<Line, 'dashed' | 'tone'>[]): LineLook[] {
  const dashedSoFar: Record<Tone, number> = { first: 0, second: 0, soft: 0 };
  let free = 0;
  return lines.map((line) => {
    const round = Math.floor(free / TONES.length);
    const tone = line.tone ?? TONES[free % TONES.length] ?? 'first';
    const dashed = line.dashed || (line.tone === undefined && round > 0);
    if (line.tone === undefined) free += 1;
    if (!dashed) return { tone };
    const pattern = DASHES[dashedSoFar[tone] % DASHES.length];
    dashedSoFar[tone] += 1;
    return { tone, pattern };
  });
}

/** All x values that occur in any line, in rising order without repeats. */
export function allXs(lines: Pick<Line, 'points'>[]): number[] {
  const xs = new Set<number>();
  for (const line of lines) for (const [x] of line.points) if (Number.isFinite(x)) xs.add(x);
  return [...xs].sort((a, b) => a - b);
}

/** What a line shows at some x. */
export interface Reading {
  value: number | null;
  /** The line has no point here: the value is that of the straight stroke between neighbours. */
  between: boolean;
}

/**
 * Reads a line at an x: the point there if there is one, else the place on the straight stroke
 * drawn between its neighbours (straight in the logarithm on a logarithmic axis). Outside the
 * line and inside a gap there is no value.
 */
export function readLine(
  points: [number, number | null][],
  x: number,
  logX = false,
  logY = false,
): Reading {
  let before: [number, number | null] | undefined;
  let after: [number, number | null] | undefined;
  for (const point of points) {
    if (point[0] === x) return { value: point[1], between: false };
    if (point[0] < x && (!before || point[0] > before[0])) before = point;
    if (point[0] > x && (!after || point[0] < after[0])) after = point;
  }
  const [low, high] = [before?.[1], after?.[1]];
  if (!before || !after || typeof low !== 'number' || typeof high !== 'number') {
    return { value: null, between: false };
  }
  const toX = logX ? Math.log : Number;
  const share = (toX(x) - toX(before[0])) / (toX(after[0]) - toX(before[0]));
  const value = logY ? low * (high / low) ** share : low + share * (high - low);
  return { value: Number.isFinite(value) ? value : null, between: true };
}

/** Cuts the points of a line at its gaps; what an axis cannot show (`shows`) is a gap too. */
export function pieces(
  points: [number, number | null][],
  shows: (x: number, y: number) => boolean,
): [number, number][][] {
  const result: [number, number][][] = [];
  let piece: [number, number][] = [];
  for (const [x, y] of points) {
    if (y !== null && Number.isFinite(y) && Number.isFinite(x) && shows(x, y)) {
      piece.push([x, y]);
    } else if (piece.length > 0) {
      result.push(piece);
      piece = [];
    }
  }
  return piece.length > 0 ? [...result, piece] : result;
}
