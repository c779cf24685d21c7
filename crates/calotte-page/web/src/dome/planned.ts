/** A plan of measuring: where the tool goes, in which order. */
import { angleBetween, refined, scale } from './arcs';
import { domeRadius } from './dome';
import { spatialLine, type Sight } from './overlay';
import type { Primitive } from './picture';
import type { Vec3 } from './types';

/** Directions nearer than this are one place, rad: readings are rounded to 0.001°. */
const SAME = 1e-4;

/** Places with the numbers of the rows measured there, from 1. */
export function placesOf(stops: Vec3[]): { direction: Vec3; rows: number[] }[] {
  const places: { direction: Vec3; rows: number[] }[] = [];
  stops.forEach((direction, k) => {
    const known = places.find((one) => angleBetween(one.direction, direction) < SAME);
    if (known) known.rows.push(k + 1);
    else places.push({ direction, rows: [k + 1] });
  });
  return places;
}

/** The way from row to row, thin, and a numbered mark at each place. */
export function plannedMarks(sight: Sight, stops: Vec3[]): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  if (stops.length === 0) return [];
  const radius = 1.005 * domeRadius(shape, shown.field);
  const way = refined(stops, 0.04).map((direction) => scale(direction, radius));
  const line = spatialLine(
    sight,
    'planned way',
    way,
    { stroke: colours.second, width: 1.3, opacity: 0.8 },
    0.8,
  ).filter((item) => !item.role.endsWith('behind'));
  const marks = placesOf(stops).flatMap(({ direction, rows }): Primitive[] => {
    const point = scale(direction, radius);
    if (sight.hidden(point)) return [];
    const at = camera.project(point);
    return [
      {
        role: 'planned',
        kind: 'circle',
        at,
        radius: rows.length > 1 ? 5 : 3.4,
        ink: { fill: colours.paper, stroke: colours.second, width: rows.length > 1 ? 2.4 : 1.6 },
      },
      {
        role: 'planned number',
        kind: 'text',
        at: [at[0] + 7, at[1] + 4],
        text: rows.join(', '),
        size: 11,
        anchor: 'start',
        halo: colours.paper,
        ink: { fill: colours.ink },
      },
    ];
  });
  return [...line, ...marks];
}
