/** Vectors, rotations and great-circle arcs. Angles in rad; rotations 3×3, row by row. */
import type { Vec3 } from './types';

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const subtract = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vec3, factor: number): Vec3 => [
  a[0] * factor,
  a[1] * factor,
  a[2] * factor,
];
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const length = (a: Vec3): number => Math.hypot(a[0], a[1], a[2]);

/** The vector at length 1; +z for the null vector. */
export function unit(a: Vec3): Vec3 {
  const size = length(a);
  return size > 0 ? scale(a, 1 / size) : [0, 0, 1];
}

/** A unit vector at right angles to `a`. */
export function perpendicular(a: Vec3): Vec3 {
  const helper: Vec3 = Math.abs(a[2]) < 0.9 * length(a) ? [0, 0, 1] : [1, 0, 0];
  return unit(cross(helper, a));
}

export const IDENTITY: readonly number[] = [1, 0, 0, 0, 1, 0, 0, 0, 1];

/** Product of a rotation and a vector. */
export function rotate(rotation: readonly number[], v: Vec3): Vec3 {
  const m = (i: number): number => rotation[i] ?? 0;
  return [
    m(0) * v[0] + m(1) * v[1] + m(2) * v[2],
    m(3) * v[0] + m(4) * v[1] + m(5) * v[2],
    m(6) * v[0] + m(7) * v[1] + m(8) * v[2],
  ];
}

/** Product of the inverse of a rotation and a vector. */
export function rotateBack(rotation: readonly number[], v: Vec3): Vec3 {
  const m = (i: number): number => rotation[i] ?? 0;
  return [
    m(0) * v[0] + m(3) * v[1] + m(6) * v[2],
    m(1) * v[0] + m(4) * v[1] + m(7) * v[2],
    m(2) * v[0] + m(5) * v[1] + m(8) * v[2],
  ];
}

/** Unit vector at a polar angle from +z and an azimuth from +x. */
export function directionOf(polar: number, azimuth: number): Vec3 {
  const s = Math.sin(polar);
  return [s * Math.cos(azimuth), s * Math.sin(azimuth), Math.cos(polar)];
}

/** Angle between two vectors, 0 to π, exact for small angles too. */
export const angleBetween = (a: Vec3, b: Vec3): number =>
  Math.atan2(length(cross(a, b)), dot(a, b));

/** Axis of the rotation that takes `a` to `b` along the shorter great circle. */
export function arcAxis(a: Vec3, b: Vec3): Vec3 {
  const axis = cross(a, b);
  // For opposite points every great circle is as short as any other: take one.
  return length(axis) > 1e-12 ? unit(axis) : perpendicular(a);
}

/** Point of the great circle through `start` about `axis` (at right angles to it). */
export const along = (start: Vec3, axis: Vec3, angle: number): Vec3 =>
  add(scale(start, Math.cos(angle)), scale(cross(axis, start), Math.sin(angle)));

/** Points from `a` to `b`, both included, no further apart than `step`. */
export function arcPoints(a: Vec3, b: Vec3, step: number): Vec3[] {
  const start = unit(a);
  const angle = angleBetween(a, b);
  const axis = arcAxis(a, b);
  const count = Math.max(1, Math.ceil(angle / step - 1e-9));
  return Array.from({ length: count + 1 }, (_, i) => along(start, axis, (angle * i) / count));
}

/** Points of the circle at `halfAngle` about `axis`, first point repeated at the end. */
export function circlePoints(axis: Vec3, halfAngle: number, count: number): Vec3[] {
  const u = unit(axis);
  const e1 = perpendicular(u);
  const e2 = cross(u, e1);
  return Array.from({ length: count + 1 }, (_, i) => {
    const turn = (2 * Math.PI * i) / count;
    const side = add(scale(e1, Math.cos(turn)), scale(e2, Math.sin(turn)));
    return add(scale(u, Math.cos(halfAngle)), scale(side, Math.sin(halfAngle)));
  });
}

/** A polyline on the sphere with points put in so that none are further apart than `step`. */
export function refined(points: readonly Vec3[], step: number): Vec3[] {
  const out: Vec3[] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (before) out.push(...arcPoints(before, point, step).slice(1));
    else out.push(unit(point));
  });
  return out;
}
