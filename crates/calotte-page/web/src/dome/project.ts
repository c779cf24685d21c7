/**
 * The camera: where base-frame points fall on the canvas, and back.
 *
 * The eye stays at a fixed distance from the remote centre; the picture is fitted by scaling and
 * shifting the image, so that the perspective is equally mild on every canvas and the fit needs no
 * iteration. Screen coordinates are CSS pixels from the top left corner, y downwards.
 */
import { add, cross, dot, length, rotate, rotateBack, scale, subtract, unit } from './arcs';
import { IDENTITY, circlePoints } from './arcs';
import type { SceneView, Vec3 } from './types';

/** Distance of the eye from the remote centre over the radius that is fitted. */
const EYE_DISTANCE = 5.5;

/** What the picture must show: the cap of the sphere about the base axis, and the centre. */
export interface Framing {
  /** Radius of the sphere on which the bars lie, mm. */
  radius: number;
  /** Radius to which the tool stands out, mm. */
  outer: number;
  /** Polar angle to which the dome reaches, rad. */
  polarMax: number;
  /** Radius to which parts stand out on the base axis, mm. */
  top?: number;
}

export interface Ray {
  /** A point of the ray, base frame, mm: the eye, or for parallel rays a point before the dome. */
  from: Vec3;
  /** Unit vector, base frame. */
  direction: Vec3;
}

export class Camera {
  width = 640;
  height = 480;
  view: SceneView = { azimuth: -0.95, elevation: 0.45, zoom: 1 };
  framing: Framing = { radius: 150, outer: 150, polarMax: Math.PI / 2 };
  worldFromBase: readonly number[] = IDENTITY;
  /** Right, up and backward (towards the eye) unit vectors of the camera, world frame. */
  right: Vec3 = [1, 0, 0];
  up: Vec3 = [0, 0, 1];
  back: Vec3 = [0, -1, 0];
  /** Distance of the eye from the remote centre, mm. */
  distance = 1;
  /** Pixels for a slope of 1 (perspective), or for `distance` mm (parallel). */
  focal = 1;
  /** Where the remote centre falls, CSS pixels. */
  centre: [number, number] = [0, 0];
  /** Lower edge of the fitted dome, CSS pixels. */
  bottom = 0;

  constructor(readonly perspective: boolean) {
    this.update();
  }

  /** Recomputes everything after a change of view, size or framing. */
  update(): void {
    const { azimuth, elevation, zoom } = this.view;
    const flat = Math.cos(elevation);
    this.back = [flat * Math.cos(azimuth), flat * Math.sin(azimuth), Math.sin(elevation)];
    this.right = [-Math.sin(azimuth), Math.cos(azimuth), 0];
    this.up = cross(this.back, this.right);
    this.distance = EYE_DISTANCE * this.framing.radius;
    const box = this.extent();
    // Room for the gravity arrow beside the dome and the labels around it.
    const margin = Math.min(26, 0.06 * Math.min(this.width, this.height));
    const across = Math.max(1, this.width - 2 * margin) / (box.right - box.left);
    const high = Math.max(1, this.height - 2 * margin) / (box.top - box.bottom);
    this.focal = Math.min(across, high) * zoom;
    this.centre = [
      this.width / 2 - (this.focal * (box.left + box.right)) / 2,
      this.height / 2 + (this.focal * (box.bottom + box.top)) / 2,
    ];
    this.bottom = this.centre[1] - this.focal * box.bottom;
  }

  /** Camera components (right, up, backward) of a base-frame point, mm. */
  components(point: Vec3): Vec3 {
    const world = rotate(this.worldFromBase, point);
    return [dot(world, this.right), dot(world, this.up), dot(world, this.back)];
  }

  private slopes(point: Vec3): [number, number] {
    const [x, y, z] = this.components(point);
    const depth = this.perspective ? Math.max(1e-6, this.distance - z) : this.distance;
    return [x / depth, y / depth];
  }

  private extent(): { left: number; right: number; bottom: number; top: number } {
    const { radius, outer, polarMax } = this.framing;
    const points: Vec3[] = [[0, 0, 0]];
    const rings = 12;
    for (let i = 0; i <= rings; i += 1) {
      const ring = circlePoints([0, 0, 1], (polarMax * i) / rings, 48);
      points.push(...ring.map((point) => scale(point, outer)));
    }
    // The support stands out a little above the base axis.
    points.push([0, 0, Math.max(1.14 * radius, 1.02 * (this.framing.top ?? 0))]);
    const slopes = points.map((point) => this.slopes(point));
    const xs = slopes.map((s) => s[0]);
    const ys = slopes.map((s) => s[1]);
    return {
      left: Math.min(...xs),
      right: Math.max(...xs),
      bottom: Math.min(...ys),
      top: Math.max(...ys),
    };
  }

  /** CSS pixels of a base-frame point in mm. */
  project(point: Vec3): [number, number] {
    const [x, y] = this.slopes(point);
    return [this.centre[0] + this.focal * x, this.centre[1] - this.focal * y];
  }

  /** How near to the eye a base-frame point is, mm: greater is nearer. */
  nearness(point: Vec3): number {
    return this.components(point)[2];
  }

  /** Position of the eye in the base frame, mm. */
  eye(): Vec3 {
    return rotateBack(this.worldFromBase, scale(this.back, this.distance));
  }

  /** Unit vector from a base-frame point to the eye. */
  towardsEye(point: Vec3): Vec3 {
    return this.perspective
      ? unit(subtract(this.eye(), point))
      : rotateBack(this.worldFromBase, this.back);
  }

  /** CSS pixels per mm at a base-frame point, across the line of sight. */
  pixelsPerMm(point: Vec3): number {
    const depth = this.perspective
      ? Math.max(1e-6, this.distance - this.nearness(point))
      : this.distance;
    return this.focal / depth;
  }

  /** The ray through a point of the canvas. */
  ray(x: number, y: number): Ray {
    const sx = (x - this.centre[0]) / this.focal;
    const sy = (this.centre[1] - y) / this.focal;
    const toBase = (v: Vec3): Vec3 => rotateBack(this.worldFromBase, v);
    if (this.perspective) {
      const slope = add(add(scale(this.right, sx), scale(this.up, sy)), scale(this.back, -1));
      return { from: this.eye(), direction: toBase(unit(slope)) };
    }
    const side = add(scale(this.right, sx * this.distance), scale(this.up, sy * this.distance));
    return {
      from: toBase(add(side, scale(this.back, this.distance))),
      direction: toBase(scale(this.back, -1)),
    };
  }

  /** OpenGL projection matrix, 16 numbers, column by column, for the camera frame. */
  projectionMatrix(): number[] {
    const { radius, outer, top } = this.framing;
    const reach = 1.6 * Math.max(radius, outer, top ?? 0);
    const near = this.distance - reach;
    const far = this.distance + reach;
    const shiftX = (2 * this.centre[0]) / this.width - 1;
    const shiftY = 1 - (2 * this.centre[1]) / this.height;
    const fx = (2 * this.focal) / this.width;
    const fy = (2 * this.focal) / this.height;
    // Depth is −z: clip x = fx·x + shiftX·depth, so that x over depth is shifted after division.
    return [
      ...[fx, 0, 0, 0],
      ...[0, fy, 0, 0],
      ...[-shiftX, -shiftY, -(far + near) / (far - near), -1],
      ...[0, 0, (-2 * far * near) / (far - near), 0],
    ];
  }
}

/** Where a ray meets the sphere about the centre, nearer point first; null if it misses. */
export function meetSphere(ray: Ray, radius: number): [Vec3, Vec3] | null {
  const half = dot(ray.from, ray.direction);
  const rest = dot(ray.from, ray.from) - radius * radius;
  const root = half * half - rest;
  if (root < 0) return null;
  const s = Math.sqrt(root);
  return [
    add(ray.from, scale(ray.direction, -half - s)),
    add(ray.from, scale(ray.direction, -half + s)),
  ];
}

/**
 * Unit vector to the point of the silhouette of a sphere that is nearest to a ray which misses it.
 * The silhouette is the circle of tangent points as seen from the eye; by symmetry the nearest one
 * lies in the plane of the ray and the centre.
 */
export function silhouette(camera: Camera, ray: Ray, radius: number): Vec3 {
  const axis = camera.towardsEye([0, 0, 0]);
  const foot = subtract(ray.from, scale(ray.direction, dot(ray.from, ray.direction)));
  const side = subtract(foot, scale(axis, dot(foot, axis)));
  const across = length(side) > 1e-12 ? unit(side) : unit(cross(axis, [0.3, 0.5, 0.8]));
  const cosine = camera.perspective ? Math.min(1, radius / camera.distance) : 0;
  const sine = Math.sqrt(1 - cosine * cosine);
  return add(scale(axis, cosine), scale(across, sine));
}
