/** An invented scissor linkage of equal arcs, for the tests of the drawing. Not a real design. */
import { add, angleBetween, cross, directionOf, dot, scale, unit } from './arcs';
import type { SceneBody, SceneField, SceneJoint, ScenePose, SceneShape, Vec3 } from './types';

export interface SampleOptions {
  stages: number;
  /** Arc of every half bar, rad. */
  arc: number;
  /** Half the opening angle at the base joint, rad. */
  half: number;
  /** Azimuth of the meridian of the apexes, rad. */
  swing: number;
}

/**
 * Angle along the meridian from an apex to the next: the side joints make a spherical rhombus with
 * them, whose diagonals bisect each other at right angles, so that in the right-angled triangle
 * apex, middle, side joint: tan(half diagonal) = tan(arc) · cos(half opening).
 */
export const apexStep = (arc: number, half: number): number =>
  2 * Math.atan(Math.tan(arc) * Math.cos(half));

/** Rotation (row by row) whose columns are the frame of two directions: first, and towards second. */
function frameOf(first: Vec3, second: Vec3): Vec3[] {
  const e1 = unit(first);
  const e2 = unit(add(second, scale(e1, -dot(second, e1))));
  return [e1, e2, cross(e1, e2)];
}

/** The rotation that takes directions a, b to directions c, d at the same angle. */
function taking(a: Vec3, b: Vec3, c: Vec3, d: Vec3): number[] {
  const [from, to] = [frameOf(a, b), frameOf(c, d)];
  const entry = (i: number, j: number): number =>
    from.reduce((sum, axis, k) => sum + ((to[k] as Vec3)[i] ?? 0) * (axis[j] ?? 0), 0);
  return [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => entry(i, j)));
}

/** A point `angle` from +z at `turn` about it, in the frame of an apex on the meridian. */
function fromApex(apex: number, angle: number, turn: number, swing: number): Vec3 {
  const [x, y, z] = directionOf(angle, turn);
  const [c, s] = [Math.cos(apex), Math.sin(apex)];
  const [mx, my, mz] = [c * x + s * z, y, -s * x + c * z];
  return [
    Math.cos(swing) * mx - Math.sin(swing) * my,
    Math.sin(swing) * mx + Math.cos(swing) * my,
    mz,
  ];
}

export function sampleShape(options: SampleOptions): SceneShape {
  const { stages, arc } = options;
  const pole: Vec3 = [0, 0, 1];
  const bodies: SceneBody[] = [{ name: 'ground', moving: false, stations: [pole], arcs: [] }];
  const joints: SceneJoint[] = [];
  const sides = ['left', 'right'] as const;
  for (const side of sides) {
    bodies.push(bar(`base-${side}`, [0, arc]));
    const body = bodies.length - 1;
    joints.push({ name: `base ${side}`, body, station: 0, kind: 'base', handle: false });
    joints.push({ name: `side ${side} 1`, body, station: 1, kind: 'side', handle: true });
  }
  for (let stage = 1; stage <= stages; stage += 1) {
    const last = stage === stages;
    for (const side of sides) {
      bodies.push(bar(`bar-${side}-${stage}`, last ? [-arc, 0] : [-arc, 0, arc]));
    }
    const body = bodies.length - 2;
    joints.push({ name: `apex ${stage}`, body, station: 1, kind: 'apex', handle: last });
    if (last) continue;
    joints.push({ name: `side a ${stage + 1}`, body, station: 2, kind: 'side', handle: false });
    joints.push({
      name: `side b ${stage + 1}`,
      body: body + 1,
      station: 2,
      kind: 'side',
      handle: false,
    });
  }
  return {
    jointRadius: 150,
    section: { kind: 'rectangle', tangential: 12, radial: 6, wall: null },
    bossDiameter: 18,
    bodies,
    joints,
    tool: { body: bodies.length - 2, direction: pole, tipRadius: 110, massRadius: 172 },
    worldFromBase: [1, 0, 0, 0, 1, 0, 0, 0, 1],
  };
}

function bar(name: string, angles: number[]): SceneBody {
  const stations = angles.map((angle): Vec3 => [Math.sin(angle), 0, Math.cos(angle)]);
  const arcs = stations.slice(1).map((_, i) => ({ from: i, to: i + 1 }));
  return { name, moving: true, stations, arcs };
}

export function samplePose(options: SampleOptions): ScenePose {
  const { stages, arc, half, swing } = options;
  const step = apexStep(arc, half);
  const rotations = [[1, 0, 0, 0, 1, 0, 0, 0, 1]];
  const pole: Vec3 = [0, 0, 1];
  const out: Vec3 = [Math.sin(arc), 0, Math.cos(arc)];
  const signs = [1, -1];
  const apex = (stage: number): Vec3 => fromApex(0, stage * step, 0, swing);
  const side = (stage: number, sign: number): Vec3 =>
    fromApex((stage - 1) * step, arc, sign * half, swing);
  for (const sign of signs) rotations.push(taking(pole, out, pole, side(1, sign)));
  const back: Vec3 = [-Math.sin(arc), 0, Math.cos(arc)];
  for (let stage = 1; stage <= stages; stage += 1) {
    for (const sign of signs) rotations.push(taking(pole, back, apex(stage), side(stage, sign)));
  }
  return { rotations };
}

/** Greatest gap between the places at which the bodies of a joint put it, rad. */
export function sampleGap(options: SampleOptions): number {
  const step = apexStep(options.arc, options.half);
  const { stages, arc, half, swing } = options;
  let gap = 0;
  for (let stage = 1; stage <= stages; stage += 1) {
    for (const sign of [1, -1]) {
      const side = fromApex((stage - 1) * step, arc, sign * half, swing);
      const apex = fromApex(0, stage * step, 0, swing);
      gap = Math.max(gap, Math.abs(angleBetween(side, apex) - arc));
      if (stage === stages) continue;
      const next = fromApex(stage * step, arc, -sign * half, swing);
      gap = Math.max(gap, Math.abs(angleBetween(side, next) - 2 * arc));
    }
  }
  return gap;
}

/** An invented smooth field over the upper part of the sphere, with a hole and a far rim. */
export function sampleField(degrees: number, reach: number): SceneField {
  const degree = Math.PI / 180;
  const polar = Array.from(
    { length: Math.round(90 / degrees) + 1 },
    (_, i) => i * degrees * degree,
  );
  const azimuth = Array.from({ length: Math.round(360 / degrees) }, (_, i) => i * degrees * degree);
  const values: (number | null)[] = [];
  const state: number[] = [];
  for (const p of polar) {
    for (const a of azimuth) {
      const inside = p < reach && p > 8 * degree;
      values.push(inside ? Math.sin(p) * (0.75 + 0.25 * Math.cos(2 * a + p)) : null);
      state.push(inside ? (p > 80 * degree ? 3 : 0) : 1);
    }
  }
  return {
    polar,
    azimuth,
    values,
    state,
    low: 0,
    high: 1,
    radius: 150,
    caps: [
      { axis: [0, 0, 1], cosHalfAngle: Math.cos(80 * degree), kind: 'region' },
      {
        axis: directionOf(52 * degree, -1.9),
        cosHalfAngle: Math.cos(11 * degree),
        kind: 'excluded',
      },
    ],
  };
}
