/** Directions as pairs of angles and as vectors; drawing only, no mechanics. */
import type { PolarAzimuth } from '../api/types';
import type { Vec3 } from '../dome';

const DEGREE = Math.PI / 180;

export function vectorOf({ polar, azimuth }: PolarAzimuth): Vec3 {
  const p = polar * DEGREE;
  const a = azimuth * DEGREE;
  return [Math.sin(p) * Math.cos(a), Math.sin(p) * Math.sin(a), Math.cos(p)];
}

export function directionOf([x, y, z]: Vec3): PolarAzimuth {
  const polar = Math.atan2(Math.hypot(x, y), z) / DEGREE;
  const azimuth = (Math.atan2(y, x) / DEGREE + 360) % 360;
  return { polar, azimuth };
}

/** Angle between two unit vectors, °. */
export function between(a: Vec3, b: Vec3): number {
  const cross = Math.hypot(
    a[1] * b[2] - a[2] * b[1],
    a[2] * b[0] - a[0] * b[2],
    a[0] * b[1] - a[1] * b[0],
  );
  return Math.atan2(cross, a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / DEGREE;
}

/** A vector turned by a rotation given row by row. */
export function turned(rotation: number[], [x, y, z]: Vec3): Vec3 {
  const m = (k: number) => rotation[k] ?? 0;
  return [
    m(0) * x + m(1) * y + m(2) * z,
    m(3) * x + m(4) * y + m(5) * z,
    m(6) * x + m(7) * y + m(8) * z,
  ];
}
