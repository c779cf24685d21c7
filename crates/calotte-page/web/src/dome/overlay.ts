/**
 * What lies over the picture in the plane of the screen: gravity, the remote centre, the base
 * axis, labels, load, path, the shape under load and the marks of what can be moved.
 */
import { add, arcPoints, cross, directionOf, dot, length, perpendicular } from './arcs';
import { refined, scale, subtract, unit } from './arcs';
import { domeExtent, domeRadius } from './dome';
import { jointSizes, toolSpan, widthOf } from './geometry';
import { markedRow } from './measured';
import type { Palette } from './palette';
import type { Ink, Point, Primitive } from './picture';
import type { Camera } from './project';
import { jointDirection, sideJoints, toolDirection, type Shown } from './state';
import type { SceneLoad, SceneShape, Vec3 } from './types';

/** What a picture is made from. */
export interface Sight {
  shown: Shown;
  shape: SceneShape;
  camera: Camera;
  colours: Palette;
  /** True if the dome lies between the eye and a base-frame point. */
  hidden: (point: Vec3) => boolean;
}

/**
 * Splits a line of base-frame points into parts that are seen and parts that are not. `places` are
 * the points by which that is judged, if not the line's own.
 */
export function splitLine(
  sight: Sight,
  points: Vec3[],
  places = points,
): { seen: Point[][]; unseen: Point[][] } {
  const out = { seen: [] as Point[][], unseen: [] as Point[][] };
  let part: Point[] = [];
  let before: boolean | null = null;
  points.forEach((point, i) => {
    const hidden = sight.hidden(places[i] ?? point);
    const at = sight.camera.project(point);
    if (hidden !== before) {
      const last = part[part.length - 1];
      // The joint between parts goes to the one that begins, so that no gap shows.
      part = last ? [last] : [];
      (hidden ? out.unseen : out.seen).push(part);
      before = hidden;
    }
    part.push(at);
  });
  const drawn = (line: Point[]): boolean => line.length > 1;
  return { seen: out.seen.filter(drawn), unseen: out.unseen.filter(drawn) };
}

/** A line whose parts behind the dome are faint. */
export function spatialLine(
  sight: Sight,
  role: string,
  points: Vec3[],
  ink: Ink,
  halo: number,
  places = points,
): Primitive[] {
  const { seen, unseen } = splitLine(sight, points, places);
  const width = ink.width ?? 1;
  const items: Primitive[] = [];
  if (points.length < 2) return items;
  const faint: Ink = { ...ink, width: Math.min(width, 1.2), opacity: 0.35 * (ink.opacity ?? 1) };
  if (unseen.length > 0) {
    items.push({ role: `${role} behind`, kind: 'path', lines: unseen, closed: false, ink: faint });
  }
  if (seen.length === 0) return items;
  if (halo > 0) {
    const under: Ink = { stroke: sight.colours.paper, width: width + 2 * halo, opacity: 0.85 };
    items.push({ role: `${role} halo`, kind: 'path', lines: seen, closed: false, ink: under });
  }
  items.push({ role, kind: 'path', lines: seen, closed: false, ink });
  return items;
}

/** An arrow in the plane of the screen. */
function arrow(role: string, from: Point, to: Point, colour: string, width: number): Primitive[] {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const size = Math.hypot(dx, dy);
  if (size < 1e-6) return [];
  const [ux, uy] = [dx / size, dy / size];
  const head = Math.min(size, 4.2 * width);
  const half = 0.42 * head;
  const neck: Point = [to[0] - head * ux, to[1] - head * uy];
  const wings: Point[] = [
    to,
    [neck[0] - half * uy, neck[1] + half * ux],
    [neck[0] + half * uy, neck[1] - half * ux],
  ];
  const shaft: Point[] = [from, [to[0] - 0.8 * head * ux, to[1] - 0.8 * head * uy]];
  return [
    { role, kind: 'path', lines: [shaft], closed: false, ink: { stroke: colour, width } },
    { role, kind: 'path', lines: [wings], closed: true, ink: { fill: colour } },
  ];
}

/** The same primitives over a paler outline of themselves. */
function haloed(sight: Sight, items: Primitive[]): Primitive[] {
  const stroke = sight.colours.paper;
  const under = items.map((item): Primitive => {
    const width = (item.ink.fill ? 0 : (item.ink.width ?? 1)) + 3.6;
    return { ...item, role: `${item.role} halo`, ink: { stroke, width } };
  });
  return [...under, ...items];
}

/** A circle about a joint axis in the plane at right angles to it, never smaller than `least`. */
function ring(
  sight: Sight,
  direction: Vec3,
  radius: number,
  millimetres: number,
  least: number,
): Point[] {
  const centre = scale(direction, radius);
  const size = Math.max(millimetres, least / sight.camera.pixelsPerMm(centre));
  const e1 = perpendicular(direction);
  const e2 = cross(direction, e1);
  return Array.from({ length: 48 }, (_, i) => {
    const turn = (2 * Math.PI * i) / 48;
    const spoke = add(scale(e1, Math.cos(turn)), scale(e2, Math.sin(turn)));
    return sight.camera.project(add(centre, scale(spoke, size)));
  });
}

/** Half the diameter of what sits at a joint, mm. */
function jointReach(shape: SceneShape): number {
  const { bossDiameter, pinDiameter } = jointSizes(shape);
  return Math.max(bossDiameter, widthOf(shape.section), pinDiameter) / 2;
}

function label(
  sight: Sight,
  role: string,
  at: Point,
  text: string,
  anchor: 'start' | 'middle' | 'end' = 'start',
  colour = sight.colours.soft,
): Primitive {
  const { paper } = sight.colours;
  return { role, kind: 'text', at, text, size: 12, anchor, halo: paper, ink: { fill: colour } };
}

/** The direction of weight, beside the dome at the lower left. */
function gravity(sight: Sight): Primitive[] {
  const { camera, colours } = sight;
  const reach = sight.shape.jointRadius * camera.pixelsPerMm([0, 0, 0]);
  const x = Math.max(22, Math.min(camera.centre[0] - 1.2 * reach, camera.width - 60));
  const foot = Math.min(camera.height - 18, camera.bottom + 36);
  // The world's vertical is upright on the screen, shortened when seen from above or below.
  const share = Math.cos(camera.view.elevation);
  const name = label(sight, 'gravity', [x + 9, foot - 12], 'gravity');
  if (share < 0.2) {
    const away = camera.view.elevation > 0;
    const ring: Ink = { stroke: colours.soft, width: 1.5 };
    const mark: Primitive[] = away
      ? [
          {
            role: 'gravity',
            kind: 'path',
            lines: [
              [
                [x - 4, foot - 20],
                [x + 4, foot - 12],
              ],
              [
                [x + 4, foot - 20],
                [x - 4, foot - 12],
              ],
            ],
            closed: false,
            ink: ring,
          },
        ]
      : [
          {
            role: 'gravity',
            kind: 'circle',
            at: [x, foot - 16],
            radius: 1.5,
            ink: { fill: colours.soft },
          },
        ];
    return [
      { role: 'gravity', kind: 'circle', at: [x, foot - 16], radius: 6, ink: ring },
      ...mark,
      name,
    ];
  }
  return [...arrow('gravity', [x, foot - 40 * share], [x, foot], colours.soft, 2), name];
}

/** The remote centre, and the line from the tool to it. */
function centreMarks(sight: Sight): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  const [x, y] = camera.project([0, 0, 0]);
  const direction = toolDirection(shape, shown.pose);
  const span = toolSpan(shape);
  const near = Math.min(span.tip, span.end);
  const far = Math.max(span.tip, span.end);
  const ends = [far, 0].map((radius) => camera.project(scale(direction, radius)));
  const tip = camera.project(scale(direction, near));
  const axis: Ink = { stroke: colours.ink, width: 1, dash: [9, 3, 2, 3], opacity: 0.55 };
  const cross: Point[][] = [
    [
      [x - 9, y],
      [x + 9, y],
    ],
    [
      [x, y - 9],
      [x, y + 9],
    ],
  ];
  const line: Ink = { stroke: colours.ink, width: 1.2 };
  const halo: Ink = { stroke: colours.paper, width: 3.4, opacity: 0.8 };
  const from = sight.hidden(scale(direction, near)) ? (ends[0] as Point) : tip;
  return [
    {
      role: 'tool-axis',
      kind: 'path',
      lines: [[from, ends[1] as Point]],
      closed: false,
      ink: axis,
    },
    ...builtToolMarks(sight, direction),
    { role: 'remote-centre halo', kind: 'path', lines: cross, closed: false, ink: halo },
    { role: 'remote-centre', kind: 'path', lines: cross, closed: false, ink: line },
    { role: 'remote-centre', kind: 'circle', at: [x, y], radius: 4, ink: line },
  ];
}

/** Among built parts: the tool's axis out to its handle, and its centre of mass. */
function builtToolMarks(sight: Sight, direction: Vec3): Primitive[] {
  const { camera, colours, shape } = sight;
  const { places } = shape;
  const { end, mass } = toolSpan(shape);
  if (!places || sight.hidden(scale(direction, end))) return [];
  const ends = [end - 0.1 * shape.jointRadius, end].map((radius) =>
    camera.project(scale(direction, radius)),
  );
  const at = camera.project(scale(direction, mass));
  const line: Ink = { stroke: colours.grip, width: 1.6 };
  const rim: Ink = { stroke: colours.ink, width: 1.2, fill: colours.paper };
  return [
    { role: 'tool-axis', kind: 'path', lines: [ends], closed: false, ink: line },
    { role: 'mass', kind: 'circle', at, radius: 4.5, ink: rim },
    { role: 'mass', kind: 'circle', at, radius: 1.8, ink: { fill: colours.ink } },
  ];
}

/** The base axis beyond the dome, and azimuths around its rim. */
function baseMarks(sight: Sight): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  const ink: Ink = { stroke: colours.soft, width: 1.2, dash: [10, 3, 2, 3] };
  const { places, jointRadius } = shape;
  const axis = [0, 1 / 3, 2 / 3, 1].map((share): Vec3 => {
    const from = places ? places.top : 1.02 * jointRadius;
    return [0, 0, from + share * 0.12 * jointRadius];
  });
  const items = spatialLine(sight, 'base-axis', axis, ink, 0);
  const polar = Math.min(domeExtent(shown.field), Math.PI / 2);
  const rim = domeRadius(shape, shown.field);
  for (const degrees of [0, 90, 180, 270]) {
    const direction = directionOf(polar, (degrees * Math.PI) / 180);
    if (sight.hidden(scale(direction, 1.012 * rim))) continue;
    const tick = [1, 1.05].map((f) => camera.project(scale(direction, f * rim)));
    const [x, y] = camera.project(scale(direction, 1.1 * rim));
    const outward = x - camera.centre[0];
    const anchor = Math.abs(outward) < 30 ? 'middle' : outward > 0 ? 'start' : 'end';
    items.push({
      role: 'azimuth',
      kind: 'path',
      lines: [tick],
      closed: false,
      ink: { stroke: colours.soft, width: degrees === 0 ? 2 : 1.2 },
    });
    const text = degrees === 0 ? 'azimuth 0°' : `${degrees}°`;
    items.push(label(sight, 'azimuth', [x, y + 5], text, anchor));
  }
  return items;
}

/** Radius of the outer end of what is drawn at a joint, mm. */
const markRadius = (shape: SceneShape, joint: number): number =>
  shape.places?.joints[joint] ?? shape.jointRadius + jointSizes(shape).bossHeight / 2;

/** Rings about the joints the reader may drag. */
function handleMarks(sight: Sight): Primitive[] {
  const { colours, shape, shown } = sight;
  return shape.joints.flatMap((joint, index): Primitive[] => {
    const radius = markRadius(shape, index);
    const direction = joint.handle ? jointDirection(shape, shown.pose, joint) : null;
    if (!direction || sight.hidden(scale(direction, radius))) return [];
    const lines = [ring(sight, direction, radius, 1.22 * jointReach(shape), 8)];
    const ink: Ink = { stroke: colours.grip, width: 2.4 };
    return haloed(sight, [{ role: 'handle', kind: 'path', lines, closed: true, ink }]);
  });
}

/** The stage that comes nearest to type 2: its side joints and the arc between them. */
function marginMarks(sight: Sight): Primitive[] {
  const { colours, shape, shown } = sight;
  if (!shown.margin) return [];
  const closed = 1 - Math.min(1, Math.max(0, shown.margin.share));
  const width = 1.2 + 5 * closed * closed;
  const ink: Ink = { stroke: colours.danger, width, opacity: 0.35 + 0.65 * closed };
  const places = sideJoints(shape, shown.margin.stage).flatMap((index) => {
    const joint = shape.joints[index];
    const direction = joint ? jointDirection(shape, shown.pose, joint) : null;
    return direction ? [{ direction, radius: markRadius(shape, index) }] : [];
  });
  const items = places.map(({ direction, radius }): Primitive => {
    const outer = 1.22 * jointReach(shape);
    const halfStroke = (width / 2 + 2.6) / sight.camera.pixelsPerMm(scale(direction, radius));
    const lines = [ring(sight, direction, radius, outer + halfStroke, 10 + width / 2)];
    const opacity = sight.hidden(scale(direction, radius)) ? 0.25 : (ink.opacity ?? 1);
    return { role: 'margin', kind: 'path', lines, closed: true, ink: { ...ink, opacity } };
  });
  const [a, b] = places;
  if (!a || !b) return items;
  const arc = arcPoints(a.direction, b.direction, 0.05);
  const points = arc.map((direction, i) => {
    const share = i / Math.max(1, arc.length - 1);
    return scale(direction, a.radius + (b.radius - a.radius) * share);
  });
  return [
    ...spatialLine(sight, 'margin', points, { ...ink, width: Math.min(width, 3), dash: [2, 4] }, 0),
    ...items,
  ];
}

/** The force: its head at the point of attack, or its tail if it pulls outwards. */
function loadMarks(sight: Sight, load: SceneLoad): Primitive[] {
  const { camera, colours, shape } = sight;
  const size = length(load.force);
  if (!(size > 0)) return [];
  const reach = scale(load.force, (0.34 * shape.jointRadius) / size);
  const outward = dot(load.force, load.at) > 0;
  const tail = outward ? load.at : subtract(load.at, reach);
  const from = camera.project(tail);
  const to = camera.project(add(tail, reach));
  // The number stands beside the shaft, where neither tool nor joints are.
  const right = to[0] < from[0];
  const at: Point = [from[0] + (right ? 8 : -8), from[1] + 14];
  return [
    ...haloed(sight, arrow('load', from, to, colours.ink, 3.2)),
    label(sight, 'load', at, load.label, right ? 'start' : 'end', colours.ink),
  ];
}

/** Centre lines where the load would take them, enlarged. */
function deflectedMarks(sight: Sight): Primitive[] {
  const { camera, colours, shown } = sight;
  const { deflected } = shown;
  if (!deflected) return [];
  const enlarged = (point: Vec3, moved: Vec3): Vec3 =>
    add(point, scale(subtract(moved, point), deflected.scale));
  const ink: Ink = { stroke: colours.ink, width: 2 };
  const items = deflected.arcs.flatMap(({ points, moved }) => {
    const line = points.map((point, i) => enlarged(point, moved[i] ?? point));
    // Enlarged it may dip into the dome: it is seen where the bar itself is.
    return spatialLine(sight, 'deflected', line, ink, 1.5, points);
  });
  const from = camera.project(deflected.tip);
  const to = camera.project(enlarged(deflected.tip, deflected.tipMoved));
  return [...items, ...haloed(sight, arrow('deflected tip', from, to, colours.ink, 2.2))];
}

/** The path of the tool: what is behind us solid, what lies ahead thin. */
function pathMarks(sight: Sight): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  const { points, at } = shown.path;
  if (points.length < 2) return [];
  const radius = 1.004 * domeRadius(shape, shown.field);
  const split = at === null ? points.length - 1 : Math.min(points.length - 1, Math.max(0, at));
  const whole = Math.floor(split);
  const place = unit(pointAlong(points, split));
  // Along great circles: a chord would dip into the dome.
  const raised = (line: Vec3[]): Vec3[] => refined(line, 0.03).map((point) => scale(point, radius));
  const done = raised([...points.slice(0, whole + 1), place]);
  const ahead = raised([place, ...points.slice(whole + 1)]);
  const here = scale(place, radius);
  const ink: Ink = { stroke: colours.ink, width: 2.6, cap: 'round' };
  const items = [
    ...spatialLine(sight, 'path ahead', ahead, { ...ink, width: 1.4 }, 1),
    ...spatialLine(sight, 'path', done, ink, 1.2),
  ];
  if (at !== null && !sight.hidden(here)) {
    const spot: Ink = { fill: colours.ink, stroke: colours.paper, width: 1.5 };
    items.push({
      role: 'path here',
      kind: 'circle',
      at: camera.project(here),
      radius: 5,
      ink: spot,
    });
  }
  return items;
}

/** Point of a polyline at a broken index. */
export function pointAlong(points: Vec3[], at: number): Vec3 {
  const index = Math.min(points.length - 1, Math.max(0, Math.floor(at)));
  const a = points[index] ?? [0, 0, 0];
  const b = points[index + 1] ?? a;
  return add(scale(a, 1 - (at - index)), scale(b, at - index));
}

/** Everything over the picture, in the order of painting. */
export function overlay(sight: Sight): Primitive[] {
  const { load } = sight.shown;
  return [
    ...baseMarks(sight),
    ...centreMarks(sight),
    ...markedRow(sight),
    ...pathMarks(sight),
    ...deflectedMarks(sight),
    ...marginMarks(sight),
    ...handleMarks(sight),
    ...(load ? loadMarks(sight, load) : []),
    ...gravity(sight),
  ];
}
