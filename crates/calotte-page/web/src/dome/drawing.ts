/** The whole picture without WebGL, as flat primitives in the order of painting. */
import { add, arcAxis, arcPoints, angleBetween, directionOf } from './arcs';
import { along, cross, dot, rotate, scale, unit } from './arcs';
import { dome, graticule } from './cells';
import { domeExtent, domeRadius } from './dome';
import { bracket, heightOf, jointSizes, supportSizes, toolSpan, widthOf } from './geometry';
import { overlay, spatialLine, splitLine, type Sight } from './overlay';
import { bodyColour, branchOf, mix } from './palette';
import { hull, type Ink, type Point, type Primitive } from './picture';
import { jointDirection, rotationOf, tintOf, toolDirection } from './state';
import type { ScenePose, SceneShape, SectionOutline, Vec3 } from './types';
import { ZONE_ORDER, zoneFills, zoneLines, zoneStyle } from './zones';

const STEP = (3 * Math.PI) / 180;

function surfaceMarks(sight: Sight): Primitive[] {
  const { camera, colours, shown, shape } = sight;
  const radius = 1.002 * domeRadius(shape, shown.field);
  const raised = (line: Vec3[]): Vec3[] => line.map((point) => scale(point, radius));
  const fine = graticule(domeExtent(shown.field)).flatMap((line) => {
    return splitLine(sight, raised(line)).seen;
  });
  const thin: Ink = { stroke: colours.ink, width: 0.8, opacity: 0.25 };
  const items: Primitive[] = [
    { role: 'graticule', kind: 'path', lines: fine, closed: false, ink: thin },
  ];
  const zones = ZONE_ORDER.flatMap((kind) => shown.zones.filter((zone) => zone.kind === kind));
  for (const zone of zones) {
    const style = zoneStyle(zone.kind, colours);
    const bands = (zone.bands ?? []).filter(() => style.fill !== 'none');
    const outlines = [...zoneFills(zone), ...bands.flatMap(bandCells)];
    const seen = outlines.filter((line) => raised(line).every((point) => !sight.hidden(point)));
    const lines = seen.map((line) => raised(line).map((point) => camera.project(point)));
    if (lines.length > 0) {
      const dim: Ink = { fill: colours.noValue, opacity: 0.85 };
      const ink: Ink = style.fill === 'dim' ? dim : { hatch: style.stroke };
      items.push({ role: `zone ${zone.kind}`, kind: 'path', lines, closed: true, ink });
    }
    const stroke: Ink = { stroke: style.stroke, width: style.width };
    if (style.dash) stroke.dash = style.dash;
    for (const line of zoneLines(zone)) {
      const parts = spatialLine(sight, `zone ${zone.kind}`, raised(line), stroke, 1.2);
      items.push(...parts.filter((item) => !item.role.endsWith('behind')));
    }
  }
  return items;
}

function bandCells(band: { polarFrom: number; polarTo: number }): Vec3[][] {
  const columns = 90;
  return Array.from({ length: columns }, (_, j) => {
    const [a0, a1] = [(2 * Math.PI * j) / columns, (2 * Math.PI * (j + 1)) / columns];
    const { polarFrom, polarTo } = band;
    return [
      directionOf(polarFrom, a0),
      directionOf((polarFrom + polarTo) / 2, a0),
      directionOf(polarTo, a0),
      directionOf(polarTo, a1),
      directionOf((polarFrom + polarTo) / 2, a1),
      directionOf(polarFrom, a1),
    ];
  });
}

/** A part of a bar, all seen or all hidden, all on the near or all on the far half. */
interface Piece {
  /** Directions along the arc. */
  line: Vec3[];
  axis: Vec3;
  hidden: boolean;
  near: boolean;
  colour: string;
  rank: number;
  section: SectionOutline;
}

function piecesOf(sight: Sight, shape: SceneShape, pose: ScenePose | null): Piece[] {
  const tint = tintOf(sight.shown);
  const pieces: Piece[] = [];
  shape.bodies.forEach((body, index) => {
    const section = body.section ?? shape.section;
    const { trim } = jointSizes(shape, section);
    const turn = rotationOf(pose, index);
    const colour = bodyColour(sight.colours, body, index, tint?.[index]);
    const rank = ['ground', 'left', 'right'].indexOf(branchOf(body, index));
    for (const arc of body.arcs) {
      const [from, to] = [body.stations[arc.from], body.stations[arc.to]];
      if (!from || !to || angleBetween(from, to) <= 2 * trim) continue;
      const axis = arcAxis(from, to);
      const start = along(unit(from), axis, trim);
      const end = along(unit(from), axis, angleBetween(from, to) - trim);
      const line = arcPoints(start, end, STEP).map((point) => rotate(turn, point));
      pieces.push(...splitBar(sight, shape, line, rotate(turn, axis), { colour, rank, section }));
    }
  });
  return pieces;
}

function splitBar(
  sight: Sight,
  shape: SceneShape,
  line: Vec3[],
  axis: Vec3,
  look: { colour: string; rank: number; section: SectionOutline },
): Piece[] {
  const pieces: Piece[] = [];
  for (let i = 0; i + 1 < line.length; i += 1) {
    const [a, b] = [line[i] as Vec3, line[i + 1] as Vec3];
    const middle = scale(unit(add(a, b)), shape.jointRadius);
    const hidden = sight.hidden(middle);
    const near = dot(middle, sight.camera.towardsEye(middle)) > 0;
    const last = pieces[pieces.length - 1];
    if (last && last.hidden === hidden && last.near === near) last.line.push(b);
    else pieces.push({ line: [a, b], axis, hidden, near, ...look });
  }
  return pieces;
}

/** The faces of a piece of bar that look at the eye. */
function barFaces(sight: Sight, shape: SceneShape, piece: Piece): Primitive[] {
  const { camera, colours } = sight;
  const edge: Ink = { stroke: colours.edge, width: 0.8 };
  const { section } = piece;
  if (section.kind === 'round') {
    const lines = [piece.line.map((d) => camera.project(scale(d, shape.jointRadius)))];
    const middle = scale(piece.line[0] as Vec3, shape.jointRadius);
    const width = section.outer * camera.pixelsPerMm(middle);
    const stroke = (colour: string, w: number): Primitive => {
      const ink: Ink = { stroke: colour, width: w };
      return { role: 'bar', kind: 'path', lines, closed: false, ink };
    };
    return [
      stroke(colours.edge, width + 1.6),
      stroke(mix(piece.colour, colours.edge, 0.25), width),
      stroke(piece.colour, 0.55 * width),
    ];
  }
  const half = widthOf(section) / 2;
  const rise = heightOf(section) / 2;
  const row = (u: number, v: number): Point[] =>
    piece.line.map((d) =>
      camera.project(add(scale(d, shape.jointRadius + v), scale(piece.axis, u))),
    );
  const face = (a: Point[], b: Point[], shade: number): Primitive => ({
    role: 'bar',
    kind: 'path',
    lines: [[...a, ...[...b].reverse()]],
    closed: true,
    ink: { ...edge, fill: mix(piece.colour, colours.edge, shade) },
  });
  const middle = piece.line[piece.line.length >> 1] as Vec3;
  const eye = camera.towardsEye(scale(middle, shape.jointRadius));
  const side = dot(piece.axis, eye) > 0 ? half : -half;
  const radial = dot(middle, eye) > 0 ? rise : -rise;
  return [
    face(row(side, -rise), row(side, rise), 0.38),
    face(row(-half, radial), row(half, radial), radial > 0 ? 0 : 0.25),
  ];
}

/** Outline of a cylinder between two points, as seen. */
function cylinder(sight: Sight, from: Vec3, to: Vec3, radius: number): Point[] {
  const axis = unit(add(to, scale(from, -1)));
  const helper: Vec3 = Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  const e1 = unit(cross(helper, axis));
  const e2 = cross(axis, e1);
  const points: Point[] = [];
  for (let i = 0; i < 24; i += 1) {
    const turn = (2 * Math.PI * i) / 24;
    const spoke = add(scale(e1, radius * Math.cos(turn)), scale(e2, radius * Math.sin(turn)));
    points.push(sight.camera.project(add(from, spoke)), sight.camera.project(add(to, spoke)));
  }
  return hull(points);
}

function post(
  sight: Sight,
  role: string,
  direction: Vec3,
  span: [number, number],
  diameter: number,
  colour: string,
): Primitive[] {
  const { colours } = sight;
  const [from, to] = [scale(direction, span[0]), scale(direction, span[1])];
  const body = cylinder(sight, from, to, diameter / 2);
  const near = dot(direction, sight.camera.towardsEye(to)) > 0;
  const lid = cylinder(sight, near ? to : from, scale(near ? to : from, 1.0001), diameter / 2);
  const edge: Ink = { stroke: colours.edge, width: 0.8 };
  const side = mix(colour, colours.edge, 0.38);
  return [
    { role, kind: 'path', lines: [body], closed: true, ink: { ...edge, fill: side } },
    { role, kind: 'path', lines: [lid], closed: true, ink: { ...edge, fill: colour } },
  ];
}

function joints(sight: Sight, near: boolean): Primitive[] {
  const { colours, shape, shown, camera } = sight;
  const size = jointSizes(shape);
  return shape.joints.flatMap((joint) => {
    const direction = jointDirection(shape, shown.pose, joint);
    if (!direction) return [];
    const point = scale(direction, shape.jointRadius);
    const facing = dot(direction, camera.towardsEye(point)) > 0;
    if (facing !== near || sight.hidden(point)) return [];
    const colour = joint.handle ? colours.grip : colours.pin;
    const boss = size.bossDiameter;
    const under = (boss > 0 ? size.bossHeight : heightOf(shape.section)) / 2;
    const [radius, pin] = [shape.jointRadius, size.pinHeight / 2];
    const bossSpan: [number, number] = [radius - under, radius + under];
    const seen: [number, number] = near
      ? [radius + under, radius + pin]
      : [radius - pin, radius - under];
    return [
      ...(boss > 0 ? post(sight, 'boss', direction, bossSpan, boss, colours.boss) : []),
      ...post(sight, 'pin', direction, seen, size.pinDiameter, colour),
      ...(joint.kind === 'base' ? support(sight, direction) : []),
    ];
  });
}

/** What the base joints are fixed to. */
function support(sight: Sight, direction: Vec3): Primitive[] {
  const { ground } = sight.colours;
  const { from, plate, to, stubDiameter, plateDiameter } = supportSizes(sight.shape);
  return [
    ...post(
      sight,
      'support',
      direction,
      [from + heightOf(sight.shape.section) / 2, plate],
      stubDiameter,
      ground,
    ),
    ...post(sight, 'support', direction, [plate, to], plateDiameter, ground),
  ];
}

/** Rounded ends of the bars where no boss covers them. */
function pads(sight: Sight, near: boolean): Primitive[] {
  const { shape, shown, camera, colours } = sight;
  const tint = tintOf(shown);
  return shape.bodies.flatMap((body, index) => {
    const section = body.section ?? shape.section;
    if (jointSizes(shape, section).trim > 0) return [];
    const rise = heightOf(section) / 2;
    const stations = new Set(body.arcs.flatMap(({ from, to }) => [from, to]));
    return [...stations].flatMap((station) => {
      const place = body.stations[station];
      if (!place) return [];
      const direction = rotate(rotationOf(shown.pose, index), unit(place));
      const point = scale(direction, shape.jointRadius);
      const facing = dot(direction, camera.towardsEye(point)) > 0;
      if (facing !== near || sight.hidden(point)) return [];
      const colour = bodyColour(colours, body, index, tint?.[index]);
      const span: [number, number] = [shape.jointRadius - rise, shape.jointRadius + rise];
      return post(sight, 'bar', direction, span, widthOf(section), colour);
    });
  });
}

function tool(sight: Sight): Primitive[] {
  const { camera, colours, shape, shown } = sight;
  const direction = toolDirection(shape, shown.pose);
  const span = toolSpan(shape);
  const at = (radius: number): Vec3 => scale(direction, radius);
  const width = span.shaftDiameter * camera.pixelsPerMm(at(span.end));
  const steps = Array.from({ length: 25 }, (_, i) => span.end + ((span.cone - span.end) * i) / 24);
  const ink: Ink = { stroke: colours.tool, width: Math.max(2, width) };
  const items: Primitive[] = [];
  const arm = bracket(shape);
  if (arm) {
    const turn = rotationOf(shown.pose, shape.tool.body);
    const line = arcPoints(arm.from, arm.to, STEP).map((d) =>
      scale(rotate(turn, d), shape.jointRadius),
    );
    items.push(...spatialLine(sight, 'bracket', line, ink, 0));
  }
  items.push(...spatialLine(sight, 'tool', steps.map(at), ink, 0.8));
  if (!sight.hidden(at((span.cone + span.tip) / 2))) {
    const foot = cylinder(sight, at(span.cone), at(span.cone * 1.0001), 0.62 * span.shaftDiameter);
    const lines = [hull([...foot, camera.project(at(span.tip))])];
    items.push({ role: 'tool', kind: 'path', lines, closed: true, ink: { fill: colours.tool } });
  }
  const ball = (radius: number, size: number, role: string, ball: Ink): void => {
    const point = at(radius);
    if (sight.hidden(point)) return;
    const r = Math.max(3, size * camera.pixelsPerMm(point));
    items.push({ role, kind: 'circle', at: camera.project(point), radius: r, ink: ball });
  };
  const outline: Ink = { stroke: colours.edge, width: 0.8 };
  ball(span.mass, span.shaftDiameter, 'mass', { ...outline, fill: colours.paper });
  ball(span.mass, 0.45 * span.shaftDiameter, 'mass', { fill: colours.ink });
  ball(span.end, 0.95 * span.shaftDiameter, 'tool', { ...outline, fill: colours.grip });
  return items;
}

function otherDesign(sight: Sight): Primitive[] {
  const { shown, colours } = sight;
  if (!shown.other) return [];
  return piecesOf(sight, shown.other, shown.otherPose).flatMap((piece) => {
    if (piece.hidden) return [];
    const faces = barFaces(sight, shown.other as SceneShape, piece);
    const outer = faces[faces.length - 1];
    if (!outer) return [];
    const ink: Ink =
      outer.kind === 'path' && outer.closed
        ? { fill: colours.second, stroke: colours.second, width: 1.2, opacity: 0.45 }
        : { ...outer.ink, stroke: colours.second, opacity: 0.45 };
    return [{ ...outer, role: 'other', ink }];
  });
}

/** What a picture of a built design leaves out. */
function note({ camera, colours }: Sight): Primitive {
  return {
    role: 'note',
    kind: 'text',
    at: [camera.width / 2, camera.height - 8],
    text: 'bars drawn as one line on one sphere: layers, bosses and pins are left out',
    size: 12,
    anchor: 'middle',
    halo: colours.paper,
    ink: { fill: colours.soft },
  };
}

/** The whole picture. */
export function picture(sight: Sight): Primitive[] {
  const { shape, shown, camera, colours } = sight;
  const pieces = piecesOf(sight, shape, shown.pose).sort((a, b) => a.rank - b.rank);
  const bars = (hidden: boolean, near: boolean): Primitive[] =>
    pieces
      .filter((piece) => piece.hidden === hidden && piece.near === near)
      .flatMap((piece) => barFaces(sight, shape, piece));
  const behind = pieces
    .filter((piece) => piece.hidden)
    .map((piece) => piece.line.map((d) => camera.project(scale(d, shape.jointRadius))));
  const ghost: Ink = { stroke: colours.ink, width: 1, dash: [4, 4], opacity: 0.3 };
  return [
    ...bars(true, false),
    ...bars(true, true),
    ...bars(false, false),
    ...pads(sight, false),
    ...joints(sight, false),
    ...dome(sight),
    ...surfaceMarks(sight),
    { role: 'bar behind', kind: 'path', lines: behind, closed: false, ink: ghost },
    ...pads(sight, true),
    ...bars(false, true),
    ...joints(sight, true),
    ...tool(sight),
    ...otherDesign(sight),
    ...overlay(sight),
    ...(shown.parts ? [note(sight)] : []),
  ];
}
