/** The surface of the dome as flat cells, and the lines on it. */
import { angleBetween, circlePoints, directionOf, dot, scale, unit } from './arcs';
import { domeExtent, domeRadius, fieldGrid } from './dome';
import type { Sight } from './overlay';
import { mix, rampColour, rampIndex } from './palette';
import { hull, type Ink, type Point, type Primitive } from './picture';
import type { SceneField, Vec3 } from './types';

/** Quadrilaterals of one colour, painted as one path. */
class Cells {
  private readonly groups = new Map<string, Point[][]>();

  add(fill: string, outline: Point[]): void {
    const group = this.groups.get(fill);
    if (group) group.push(outline);
    else this.groups.set(fill, [outline]);
  }

  items(role: string, hatched: string, hatch: string): Primitive[] {
    return [...this.groups].map(([fill, lines]) => {
      // A thin stroke of the same colour closes the seams between neighbours.
      const ink: Ink = { fill, stroke: fill, width: 0.7 };
      if (fill === hatched) ink.hatch = hatch;
      return { role, kind: 'path', lines, closed: true, ink };
    });
  }
}

function cellColour(sight: Sight, field: SceneField, cell: Cell): string {
  const { colours } = sight;
  const inCap = (kind: string): boolean | null => {
    const caps = field.caps.filter((cap) => cap.kind === kind);
    if (caps.length === 0) return null;
    return caps.some((cap) => dot(unit(cap.axis), cell.direction) >= cap.cosHalfAngle);
  };
  // Excluded caps are painted over the cells, with a sharp edge.
  const caps = field.caps.some((cap) => cap.kind === 'excluded');
  if (!caps && cell.state === 2) return excludedFill(sight);
  const hasValue = cell.value !== null && cell.state !== 1;
  const plain = hasValue
    ? rampColour(rampIndex(cell.value as number, field.low, field.high))
    : colours.noValue;
  const region = inCap('region');
  const outside = region === null ? cell.state === 3 : !region;
  return outside ? mix(plain, colours.paper, 0.68) : plain;
}

const excludedFill = ({ colours }: Sight): string => mix(colours.noValue, colours.paper, 0.3);

interface Cell {
  direction: Vec3;
  corners: Vec3[];
  value: number | null;
  state: number;
}

function cellsOf(field: SceneField): Cell[] {
  const grid = fieldGrid(field);
  const columns = grid.azimuth.length;
  const cells: Cell[] = [];
  for (let i = 0; i + 1 < grid.polar.length; i += 1) {
    for (let j = 0; j + 1 < columns; j += 1) {
      const [p0, p1] = [grid.polar[i] as number, grid.polar[i + 1] as number];
      const [a0, a1] = [grid.azimuth[j] as number, grid.azimuth[j + 1] as number];
      const nodes = [i * columns + j, (i + 1) * columns + j];
      const all = nodes.flatMap((index) => [index, index + 1]);
      const states = all.map((index) => grid.state[index] as number);
      const good = all.filter((index) => grid.valid[index]).length;
      const sum = all.reduce((total, index) => total + (grid.values[index] as number), 0);
      cells.push({
        direction: directionOf((p0 + p1) / 2, (a0 + a1) / 2),
        corners: [
          directionOf(p0, a0),
          directionOf(p1, a0),
          directionOf(p1, a1),
          directionOf(p0, a1),
        ],
        value: good >= 2 ? sum / 4 : null,
        state: mostFrequent(states),
      });
    }
  }
  return cells;
}

function mostFrequent(states: number[]): number {
  const count = (state: number): number => states.filter((s) => s === state).length;
  return states.reduce((best, state) => (count(state) > count(best) ? state : best), 0);
}

/** A plain dome where there is no field. */
function plainCells(extent: number): Cell[] {
  const cells: Cell[] = [];
  const [rows, columns] = [Math.max(4, Math.ceil(extent / 0.1)), 60];
  for (let i = 0; i < rows; i += 1) {
    for (let j = 0; j < columns; j += 1) {
      const [p0, p1] = [(extent * i) / rows, (extent * (i + 1)) / rows];
      const [a0, a1] = [(2 * Math.PI * j) / columns, (2 * Math.PI * (j + 1)) / columns];
      const corners = [
        directionOf(p0, a0),
        directionOf(p1, a0),
        directionOf(p1, a1),
        directionOf(p0, a1),
      ];
      const direction = directionOf((p0 + p1) / 2, (a0 + a1) / 2);
      cells.push({ direction, corners, value: null, state: 0 });
    }
  }
  return cells;
}

/** The surface of the dome, far side first. */
export function dome(sight: Sight): Primitive[] {
  const { camera, colours, shown, shape } = sight;
  const { field } = shown;
  const radius = domeRadius(shape, field);
  const [back, front] = [new Cells(), new Cells()];
  for (const cell of field ? cellsOf(field) : plainCells(domeExtent(null))) {
    const facing = dot(cell.direction, camera.towardsEye(scale(cell.direction, radius)));
    const shade = mix(colours.dome, colours.ink, 0.16 * (1 - Math.abs(facing)));
    const fill = field ? cellColour(sight, field, cell) : shade;
    const outline = cell.corners.map((corner) => camera.project(scale(corner, radius)));
    (facing > 0 ? front : back).add(fill, outline);
  }
  const [hatched, hatch] = [excludedFill(sight), mix(excludedFill(sight), colours.soft, 0.75)];
  return [
    ...back.items('dome', hatched, hatch),
    ...excludedCaps(sight, radius, false),
    ...front.items('dome', hatched, hatch),
    ...excludedCaps(sight, radius, true),
  ];
}

/** The parts of the excluded caps on the near or the far side of the dome. */
function excludedCaps(sight: Sight, radius: number, near: boolean): Primitive[] {
  const { camera, colours, shown } = sight;
  const fill = excludedFill(sight);
  return (shown.field?.caps ?? []).flatMap((cap): Primitive[] => {
    if (cap.kind !== 'excluded') return [];
    const halfAngle = Math.acos(Math.min(1, Math.max(-1, cap.cosHalfAngle)));
    // Rings from the middle outwards: where the silhouette cuts the cap, its seen points still
    // fill what is seen, since the outline of a convex set of points is their hull.
    const points = [0.25, 0.5, 0.75, 1].flatMap((share) =>
      circlePoints(cap.axis, share * halfAngle, 60),
    );
    const here = points.filter((point) => {
      const facing = dot(point, camera.towardsEye(scale(point, radius))) > 0;
      return facing === near && angleBetween(point, [0, 0, 1]) <= domeExtent(shown.field);
    });
    if (here.length < 3) return [];
    const lines = [hull(here.map((point) => camera.project(scale(point, radius))))];
    const hatch = mix(fill, colours.soft, 0.75);
    return [{ role: 'excluded', kind: 'path', lines, closed: true, ink: { fill, hatch } }];
  });
}

/** Lines of the graticule: every 30° in polar angle and azimuth. */
export function graticule(extent: number): Vec3[][] {
  const lines: Vec3[][] = [];
  const degree = Math.PI / 180;
  for (let polar = 30 * degree; polar < extent - 1e-6; polar += 30 * degree) {
    lines.push(circlePoints([0, 0, 1], polar, 120));
  }
  lines.push(circlePoints([0, 0, 1], extent, 120));
  for (let azimuth = 0; azimuth < 360; azimuth += 30) {
    const count = 30;
    const [from, to] = [azimuth % 90 === 0 ? 0 : 10 * degree, extent];
    lines.push(
      Array.from({ length: count + 1 }, (_, i) =>
        directionOf(from + ((to - from) * i) / count, azimuth * degree),
      ),
    );
  }
  return lines;
}
