/**
 * A measured prototype against its design: at each row's direction what was measured misses
 * what was predicted by, drawn larger. Its outward part is told by colour and by the sign at its
 * foot: a triangle up is outward, one down is inward.
 */
import { OUTWARD } from '../plots/maps';
import { add, scale } from './arcs';
import { domeRadius } from './dome';
import type { Ink, Point, Primitive } from './picture';
import type { Sight } from './overlay';
import type { SceneMeasured, SceneMeasuredRow, Vec3 } from './types';

/** Colours of the outward part, from inward to outward; an odd number, so that zero has one. */
export const OUTWARD_STEPS = OUTWARD.length;

/** Colour by step: 0 is inward by the limit or more, the last outward by it. */
export const outwardColour = (step: number): string => OUTWARD[step] ?? '#000000';

/** Step of an outward part on a scale that ends at `limit` on both sides. */
export function outwardStep(outward: number, limit: number): number {
  const share = limit > 0 ? Math.max(-1, Math.min(1, outward / limit)) : 0;
  return Math.round(((share + 1) / 2) * (OUTWARD_STEPS - 1));
}

/** Where a row is drawn, CSS pixels. */
export interface RowSpot {
  row: number;
  foot: Point;
  tip: Point;
}

/** How far from a row the pointer takes it, CSS pixels. */
const REACH = 7;
/** Crosses that carry their row's number; more would cover each other. */
const NUMBERED = 40;
/** Half the size of the sign at a foot, CSS pixels. */
const SIGN = 3.2;
const CROSS = 6;

const footOf = (row: SceneMeasuredRow, radius: number): Vec3 => scale(row.direction, radius);

const tipOf = (row: SceneMeasuredRow, foot: Vec3, magnified: number): Vec3 =>
  row.off ? foot : add(foot, scale(row.residual, magnified));

/** Rows on the seen side of the dome, where they are drawn. */
export function rowSpots(sight: Sight, measured: SceneMeasured): RowSpot[] {
  const { camera, shape, shown } = sight;
  const radius = 1.004 * domeRadius(shape, shown.field);
  return measured.rows.flatMap((row) => {
    const foot = footOf(row, radius);
    if (sight.hidden(foot)) return [];
    const tip = tipOf(row, foot, measured.magnified);
    return [{ row: row.row, foot: camera.project(foot), tip: camera.project(tip) }];
  });
}

/** The row at a point of the canvas. */
export function rowAt(spots: RowSpot[], x: number, y: number): number | null {
  let best: number | null = null;
  let least = REACH;
  for (const { row, foot, tip } of spots) {
    const [dx, dy] = [tip[0] - foot[0], tip[1] - foot[1]];
    const size = dx * dx + dy * dy;
    const along = size > 0 ? ((x - foot[0]) * dx + (y - foot[1]) * dy) / size : 0;
    const share = Math.max(0, Math.min(1, along));
    const distance = Math.hypot(foot[0] + share * dx - x, foot[1] + share * dy - y);
    if (distance >= least) continue;
    [least, best] = [distance, row];
  }
  return best;
}

const triangle = ([x, y]: Point, up: boolean): Point[] => {
  const s = up ? -SIGN : SIGN;
  return [
    [x, y + 1.2 * s],
    [x - SIGN, y - 0.8 * s],
    [x + SIGN, y - 0.8 * s],
  ];
};

/** All rows: one line of many parts for each colour, however many rows there are. */
export function measuredMarks(
  sight: Sight,
  measured: SceneMeasured,
  spots: RowSpot[],
): Primitive[] {
  const { colours } = sight;
  const byRow = new Map(measured.rows.map((row) => [row.row, row]));
  const vectors: Point[][][] = Array.from({ length: OUTWARD_STEPS }, () => []);
  const signs: Point[][][] = Array.from({ length: OUTWARD_STEPS }, () => []);
  const crosses: RowSpot[] = [];
  for (const spot of spots) {
    const row = byRow.get(spot.row);
    if (!row) continue;
    if (row.off) {
      crosses.push(spot);
      continue;
    }
    const step = outwardStep(row.outward, measured.limit);
    vectors[step]?.push([spot.foot, spot.tip]);
    signs[step]?.push(triangle(spot.foot, row.outward >= 0));
  }
  const line = (lines: Point[][], ink: Ink): Primitive => ({
    role: 'measured',
    kind: 'path',
    lines,
    closed: false,
    ink,
  });
  const under: Ink = { stroke: colours.edge, width: 3.6, cap: 'round' };
  const items = vectors.map((lines) => line(lines, under));
  vectors.forEach((lines, step) => {
    items.push(line(lines, { stroke: outwardColour(step), width: 2.2, cap: 'round' }));
  });
  signs.forEach((lines, step) => {
    const ink: Ink = { fill: outwardColour(step), stroke: colours.edge, width: 0.9 };
    items.push({ role: 'measured sign', kind: 'path', lines, closed: true, ink });
  });
  return [...items.filter(drawn), ...crossMarks(sight, crosses)];
}

const drawn = (item: Primitive): boolean => item.kind !== 'path' || item.lines.length > 0;

/** Rows that are far off: a cross and, where there are few, the row's number. */
function crossMarks(sight: Sight, spots: RowSpot[]): Primitive[] {
  if (spots.length === 0) return [];
  const { colours } = sight;
  const lines = spots.flatMap(({ foot: [x, y] }): Point[][] => [
    [
      [x - CROSS, y - CROSS],
      [x + CROSS, y + CROSS],
    ],
    [
      [x - CROSS, y + CROSS],
      [x + CROSS, y - CROSS],
    ],
  ]);
  const cross = (ink: Ink): Primitive => ({
    role: 'measured off',
    kind: 'path',
    lines,
    closed: false,
    ink,
  });
  const numbers = spots.slice(0, NUMBERED).map(({ row, foot: [x, y] }): Primitive => ({
    role: 'measured number',
    kind: 'text',
    at: [x + CROSS + 3, y + 4],
    text: String(row),
    size: 12,
    anchor: 'start',
    halo: colours.paper,
    ink: { fill: colours.danger },
  }));
  return [
    cross({ stroke: colours.paper, width: 5 }),
    cross({ stroke: colours.danger, width: 2.2 }),
    ...numbers,
  ];
}

/** The row that is read: a ring about its foot, dashed where the dome hides it. */
export function markedRow(sight: Sight): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  const row = shown.measured?.rows.find((one) => one.row === shown.markedRow);
  if (!row || !shown.measured) return [];
  const foot = footOf(row, 1.004 * domeRadius(shape, shown.field));
  const hidden = sight.hidden(foot);
  const ring = (ink: Ink): Primitive => ({
    role: 'measured marked',
    kind: 'circle',
    at: camera.project(foot),
    radius: 9,
    ink,
  });
  const ink: Ink = { stroke: colours.grip, width: 2.4 };
  if (hidden) ink.dash = [3, 3];
  return [ring({ stroke: colours.paper, width: 5.2, opacity: 0.85 }), ring(ink)];
}
