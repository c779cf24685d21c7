/**
 * Vertex arrays of bars, cylinders and the tool. Pure functions, lengths in mm.
 *
 * A bar is its cross-section swept along a great-circle arc, the section's centroid on the sphere
 * of the joints. Section coordinates are u across the bar (tangential) and v along the radius.
 */
import { add, along, angleBetween, arcAxis, cross, length, perpendicular } from './arcs';
import { scale, subtract, unit } from './arcs';
import type { SceneBody, SectionOutline, SceneShape, Vec3 } from './types';

/** Largest angle between neighbouring sections of a bar, rad. */
const SWEEP_STEP = (1.5 * Math.PI) / 180;
/** Corners of a round section. */
const ROUND_CORNERS = 20;

/** Triangles, and the line segments that bring out their edges. */
export interface MeshArrays {
  positions: Float32Array;
  normals: Float32Array;
  indices: Uint32Array;
  /** Ends of line segments, three numbers a point, two points a segment. */
  edges: Float32Array;
}

/** Collects vertices and triangles. */
export class MeshBuilder {
  private readonly positions: number[] = [];
  private readonly normals: number[] = [];
  private readonly indices: number[] = [];
  private readonly edges: number[] = [];

  vertex(position: Vec3, normal: Vec3): number {
    this.positions.push(...position);
    this.normals.push(...normal);
    return this.positions.length / 3 - 1;
  }

  triangle(a: number, b: number, c: number): void {
    this.indices.push(a, b, c);
  }

  /** A quadrilateral, anticlockwise seen from outside. */
  quad(a: number, b: number, c: number, d: number): void {
    this.indices.push(a, b, c, a, c, d);
  }

  edge(a: Vec3, b: Vec3): void {
    this.edges.push(...a, ...b);
  }

  arrays(): MeshArrays {
    return {
      positions: new Float32Array(this.positions),
      normals: new Float32Array(this.normals),
      indices: new Uint32Array(this.indices),
      edges: new Float32Array(this.edges),
    };
  }
}

/** Width of a section across the bar, mm. */
export const widthOf = (section: SectionOutline): number =>
  section.kind === 'rectangle' ? section.tangential : section.outer;

/** Height of a section along the radius, mm. */
export const heightOf = (section: SectionOutline): number =>
  section.kind === 'rectangle' ? section.radial : section.outer;

/** Area of a section, mm². */
export function areaOf(section: SectionOutline): number {
  if (section.kind === 'round') {
    const inner = section.inner ?? 0;
    return (Math.PI * (section.outer ** 2 - inner ** 2)) / 4;
  }
  const { tangential, radial, wall } = section;
  const hole = wall === null ? 0 : rectangleHole(section);
  return tangential * radial - hole;
}

function rectangleHole(section: SectionOutline & { kind: 'rectangle' }): number {
  const wall = section.wall ?? 0;
  return Math.max(0, section.tangential - 2 * wall) * Math.max(0, section.radial - 2 * wall);
}

/** Corners (u, v) of a closed outline; `smooth` if its normals turn from corner to corner. */
interface Loop {
  corners: [number, number][];
  smooth: boolean;
}

/** Outline of a section, anticlockwise in (u, v), and of its hole, clockwise. */
function loopsOf(section: SectionOutline): { outer: Loop; inner: Loop | null } {
  if (section.kind === 'round') {
    const inner = section.inner !== null && section.inner > 0 ? circle(section.inner / 2) : null;
    inner?.corners.reverse();
    return { outer: circle(section.outer / 2), inner };
  }
  const { tangential, radial, wall } = section;
  const outer = box(tangential / 2, radial / 2);
  if (wall === null || rectangleHole(section) === 0) return { outer, inner: null };
  const inner = box(tangential / 2 - wall, radial / 2 - wall);
  inner.corners.reverse();
  return { outer, inner };
}

function box(u: number, v: number): Loop {
  const corners: [number, number][] = [
    [-u, -v],
    [u, -v],
    [u, v],
    [-u, v],
  ];
  return { corners, smooth: false };
}

function circle(radius: number): Loop {
  const corners = Array.from({ length: ROUND_CORNERS }, (_, i): [number, number] => {
    const turn = (2 * Math.PI * i) / ROUND_CORNERS;
    return [radius * Math.cos(turn), radius * Math.sin(turn)];
  });
  return { corners, smooth: true };
}

/** An arc of a great circle: where it starts, about which axis, how far, at which radius. */
interface Sweep {
  start: Vec3;
  axis: Vec3;
  angle: number;
  radius: number;
  steps: number;
}

interface Frame {
  u: Vec3;
  v: Vec3;
  centre: Vec3;
}

function frameAt(sweep: Sweep, step: number): Frame {
  const v = along(sweep.start, sweep.axis, (sweep.angle * step) / sweep.steps);
  return { u: sweep.axis, v, centre: scale(v, sweep.radius) };
}

const placed = (frame: Frame, [u, v]: [number, number]): Vec3 =>
  add(frame.centre, add(scale(frame.u, u), scale(frame.v, v)));

const turned = (frame: Frame, [u, v]: [number, number]): Vec3 =>
  unit(add(scale(frame.u, u), scale(frame.v, v)));

function sweepLoop(builder: MeshBuilder, sweep: Sweep, loop: Loop, inwards: boolean): void {
  const count = loop.corners.length;
  for (let i = 0; i < count; i += 1) {
    const a = loop.corners[i] as [number, number];
    const b = loop.corners[(i + 1) % count] as [number, number];
    const flat: [number, number] = [b[1] - a[1], a[0] - b[0]];
    const sign = inwards ? -1 : 1;
    const normalA: [number, number] = loop.smooth ? [sign * a[0], sign * a[1]] : flat;
    const normalB: [number, number] = loop.smooth ? [sign * b[0], sign * b[1]] : flat;
    let before: [number, number] | null = null;
    for (let step = 0; step <= sweep.steps; step += 1) {
      const frame = frameAt(sweep, step);
      const va = builder.vertex(placed(frame, a), turned(frame, normalA));
      const vb = builder.vertex(placed(frame, b), turned(frame, normalB));
      if (before) {
        builder.quad(before[0], before[1], vb, va);
        if (!loop.smooth && !inwards) {
          builder.edge(placed(frameAt(sweep, step - 1), a), placed(frame, a));
        }
      }
      before = [va, vb];
    }
  }
}

/** Closes an end: a full face, or the ring between outline and hole. */
function closeEnd(
  builder: MeshBuilder,
  sweep: Sweep,
  section: SectionOutline,
  last: boolean,
): void {
  const { outer, inner } = loopsOf(section);
  const frame = frameAt(sweep, last ? sweep.steps : 0);
  const normal = scale(cross(frame.u, frame.v), last ? 1 : -1);
  const put = (corner: [number, number]): number => builder.vertex(placed(frame, corner), normal);
  const outside = outer.corners.map(put);
  // The hole runs the other way round: reversed it lies corner by corner beside the outline.
  const inside = inner ? [...inner.corners].reverse().map(put) : null;
  const count = outside.length;
  for (let i = 0; i < count; i += 1) {
    const j = (i + 1) % count;
    const [oi, oj] = [outside[i] as number, outside[j] as number];
    if (inside) {
      const [ii, ij] = [inside[i] as number, inside[j] as number];
      if (last) builder.quad(oi, oj, ij, ii);
      else builder.quad(oj, oi, ii, ij);
    } else if (i > 0 && j > 0) {
      const first = outside[0] as number;
      if (last) builder.triangle(first, oi, oj);
      else builder.triangle(first, oj, oi);
    }
  }
}

/**
 * Adds a bar from direction `from` to direction `to` (unit vectors), its centroid at `radius`,
 * each end shortened by `trim` rad. Adds nothing if less than nothing remains.
 */
export function addBar(
  builder: MeshBuilder,
  from: Vec3,
  to: Vec3,
  radius: number,
  section: SectionOutline,
  trim = 0,
): void {
  const axis = arcAxis(from, to);
  const angle = angleBetween(from, to) - 2 * trim;
  if (!(angle > 1e-9)) return;
  const steps = Math.max(1, Math.ceil(angle / SWEEP_STEP - 1e-9));
  const sweep: Sweep = { start: along(unit(from), axis, trim), axis, angle, radius, steps };
  const { outer, inner } = loopsOf(section);
  sweepLoop(builder, sweep, outer, false);
  if (inner) sweepLoop(builder, sweep, inner, true);
  closeEnd(builder, sweep, section, false);
  closeEnd(builder, sweep, section, true);
}

/** Adds a closed cylinder or cone between two points with a radius at each. */
export function addCylinder(
  builder: MeshBuilder,
  from: Vec3,
  to: Vec3,
  radiusFrom: number,
  radiusTo: number,
  corners = 28,
): void {
  const axis = unit(subtract(to, from));
  const e1 = perpendicular(axis);
  const e2 = cross(axis, e1);
  const slope = (radiusFrom - radiusTo) / Math.max(1e-12, length(subtract(to, from)));
  const spoke = (i: number): Vec3 => {
    const turn = (2 * Math.PI * i) / corners;
    return add(scale(e1, Math.cos(turn)), scale(e2, Math.sin(turn)));
  };
  const back = scale(axis, -1);
  const footCentre = builder.vertex(from, back);
  const headCentre = builder.vertex(to, axis);
  for (let i = 0; i < corners; i += 1) {
    const spokes = [spoke(i), spoke(i + 1)] as const;
    const feet = spokes.map((s) => add(from, scale(s, radiusFrom))) as [Vec3, Vec3];
    const heads = spokes.map((s) => add(to, scale(s, radiusTo))) as [Vec3, Vec3];
    const normals = spokes.map((s) => unit(add(s, scale(axis, slope)))) as [Vec3, Vec3];
    const a = builder.vertex(feet[0], normals[0]);
    const b = builder.vertex(feet[1], normals[1]);
    if (radiusTo > 0) {
      const c = builder.vertex(heads[1], normals[1]);
      builder.quad(a, b, c, builder.vertex(heads[0], normals[0]));
      builder.triangle(headCentre, builder.vertex(heads[0], axis), builder.vertex(heads[1], axis));
      builder.edge(heads[0], heads[1]);
    } else {
      builder.triangle(a, b, builder.vertex(to, normals[0]));
    }
    builder.triangle(footCentre, builder.vertex(feet[1], back), builder.vertex(feet[0], back));
    builder.edge(feet[0], feet[1]);
  }
}

/** Stub and plate that stand for what the base joints are fixed to; sizes ours, mm. */
export function supportSizes(shape: SceneShape): {
  from: number;
  plate: number;
  to: number;
  stubDiameter: number;
  plateDiameter: number;
} {
  const { pinDiameter } = jointSizes(shape);
  const from = shape.jointRadius;
  const to = 1.075 * from;
  return {
    from,
    plate: to - 0.01 * from,
    to,
    stubDiameter: 0.7 * pinDiameter,
    plateDiameter: 2.6 * pinDiameter,
  };
}

/** Sizes of what sits at a joint, mm; `trim` is the angle by which bars stop short of it. */
export interface JointSizes {
  bossDiameter: number;
  bossHeight: number;
  pinDiameter: number;
  pinHeight: number;
  trim: number;
}

/**
 * Bosses as given, beside bars of a section; without them a thin pin only. Heights are ours: just enough to be seen above
 * the bars, which all lie on the same sphere.
 */
export function jointSizes(shape: SceneShape, section = shape.section): JointSizes {
  const width = widthOf(section);
  const height = heightOf(section);
  const boss = shape.bossDiameter;
  // A bar ends where its corners are just inside the boss, so that no corner shows.
  const reach = (boss / 2) ** 2 - (width / 2) ** 2;
  return {
    bossDiameter: boss,
    bossHeight: 1.16 * height,
    pinDiameter: boss > 0 ? 0.42 * boss : 0.42 * width,
    pinHeight: 1.5 * height,
    trim: reach > 0 ? (0.94 * Math.sqrt(reach)) / shape.jointRadius : 0,
  };
}

/** All bars of a body, with rounded ends where no boss covers them. Body frame. */
export function bodyMesh(shape: SceneShape, body: SceneBody): MeshArrays {
  const builder = new MeshBuilder();
  const section = body.section ?? shape.section;
  const { trim } = jointSizes(shape, section);
  const width = widthOf(section);
  const height = heightOf(section);
  const used = new Set<number>();
  for (const { from, to } of body.arcs) {
    const [a, b] = [body.stations[from], body.stations[to]];
    if (!a || !b) continue;
    addBar(builder, a, b, shape.jointRadius, section, trim);
    used.add(from).add(to);
  }
  if (trim === 0) {
    for (const station of used) {
      const d = unit(body.stations[station] as Vec3);
      const inner = scale(d, shape.jointRadius - height / 2);
      addCylinder(builder, inner, scale(d, shape.jointRadius + height / 2), width / 2, width / 2);
    }
  }
  return builder.arrays();
}

/** Radii along the tool direction between which its parts lie, mm. */
export interface ToolSpan {
  tip: number;
  /** Foot of the tip's cone. */
  cone: number;
  /** Outer end of the shaft, where the knob is. */
  end: number;
  mass: number;
  shaftDiameter: number;
}

/**
 * The shaft runs from the tip past the carrier's end to the centre of mass, whichever is further.
 * The tip points at the remote centre, or away from it if it lies outside the bars.
 */
export function toolSpan(shape: SceneShape): ToolSpan {
  const { tipRadius, massRadius } = shape.tool;
  const radius = shape.jointRadius;
  const height = heightOf(shape.section);
  const shaftDiameter = Math.min(0.45 * widthOf(shape.section), 0.035 * radius);
  const coneLength = 3.2 * shaftDiameter;
  const outside = tipRadius > radius + 2 * height;
  const cone = outside ? tipRadius - coneLength : tipRadius + coneLength;
  const inner = Math.min(radius - height, massRadius - 2 * shaftDiameter);
  const outer = Math.max(radius + 1.6 * height, massRadius + 2.4 * shaftDiameter, cone + height);
  // Among built parts the shaft ends before them; its line runs on to the handle.
  const end = shape.places ? shape.places.toolEnd : outside ? inner : outer;
  return { tip: tipRadius, cone, end, mass: massRadius, shaftDiameter };
}

/** Shaft and tip of the tool along `direction` (unit vector). */
export function toolMesh(shape: SceneShape, direction: Vec3): MeshArrays {
  const builder = new MeshBuilder();
  const span = toolSpan(shape);
  const at = (radius: number): Vec3 => scale(direction, radius);
  const r = span.shaftDiameter / 2;
  addCylinder(builder, at(span.end), at(span.cone), r, r);
  addCylinder(builder, at(span.cone), at(span.tip), 1.25 * r, 0);
  return builder.arrays();
}

/** Ball about a point. */
export function addBall(builder: MeshBuilder, centre: Vec3, radius: number, rings = 14): void {
  const around = 2 * rings;
  const grid: number[][] = [];
  for (let i = 0; i <= rings; i += 1) {
    const row: number[] = [];
    for (let j = 0; j <= around; j += 1) {
      const [polar, turn] = [(Math.PI * i) / rings, (2 * Math.PI * j) / around];
      const n: Vec3 = [
        Math.sin(polar) * Math.cos(turn),
        Math.sin(polar) * Math.sin(turn),
        Math.cos(polar),
      ];
      row.push(builder.vertex(add(centre, scale(n, radius)), n));
    }
    grid.push(row);
  }
  const at = (i: number, j: number): number => grid[i]?.[j] as number;
  for (let i = 0; i < rings; i += 1) {
    for (let j = 0; j < around; j += 1) {
      if (i > 0) builder.triangle(at(i, j), at(i + 1, j), at(i, j + 1));
      if (i < rings - 1) builder.triangle(at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
    }
  }
}

/**
 * The arc between the tool and the nearest station of its carrier, where the tool is carried by a
 * bracket beyond the last joint; null if the tool sits on a station or the body has none.
 */
export function bracket(shape: SceneShape): { from: Vec3; to: Vec3 } | null {
  const body = shape.bodies[shape.tool.body];
  const to = unit(shape.tool.direction);
  let from: Vec3 | null = null;
  for (const station of body?.stations ?? []) {
    if (!from || angleBetween(station, to) < angleBetween(from, to)) from = station;
  }
  return from && angleBetween(from, to) > 1e-3 ? { from, to } : null;
}
