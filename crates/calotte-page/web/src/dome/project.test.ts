import { describe, expect, it } from 'vitest';
import { dot, length, rotate, scale, subtract, unit } from './arcs';
import { Camera, meetSphere, silhouette } from './project';
import type { Vec3 } from './types';

const VIEWS = [
  { azimuth: -0.95, elevation: 0.45, zoom: 1 },
  { azimuth: 2.1, elevation: -0.4, zoom: 2.5 },
  { azimuth: 0.3, elevation: 1.4, zoom: 0.8 },
];
const TILTED = [0, 0, 1, 0, 1, 0, -1, 0, 0];
const POINTS: Vec3[] = [
  [0, 0, 0],
  [40, -90, 80],
  [-100, 20, 60],
];

function cameraOf(perspective: boolean, index: number): Camera {
  const camera = new Camera(perspective);
  camera.width = 1280;
  camera.height = 480;
  camera.view = VIEWS[index] ?? camera.view;
  camera.worldFromBase = index === 1 ? TILTED : camera.worldFromBase;
  camera.update();
  return camera;
}

describe.each([
  [true, 0],
  [true, 1],
  [true, 2],
  [false, 0],
  [false, 1],
])('camera, perspective %s, view %i', (perspective, index) => {
  const camera = cameraOf(perspective, index);

  it('takes a ray through the screen point of a point back to that point', () => {
    for (const point of POINTS) {
      const ray = camera.ray(...camera.project(point));
      const to = subtract(point, ray.from);
      const off = subtract(to, scale(ray.direction, dot(to, ray.direction)));
      expect(length(off)).toBeLessThan(1e-9 * camera.distance);
    }
  });

  it('projects like its matrix', () => {
    if (!perspective) return expect(camera.perspective).toBe(false);
    const m = camera.projectionMatrix();
    for (const point of POINTS) {
      const [x, y, z] = camera.components(point);
      const eye = [x, y, z - camera.distance, 1];
      const clip = [0, 1, 2, 3].map((row) =>
        eye.reduce((sum, v, column) => sum + v * (m[4 * column + row] ?? 0), 0),
      ) as [number, number, number, number];
      const [sx, sy] = camera.project(point);
      expect((clip[0] / clip[3] / 2 + 0.5) * camera.width).toBeCloseTo(sx, 8);
      expect((0.5 - clip[1] / clip[3] / 2) * camera.height).toBeCloseTo(sy, 8);
      expect(Math.abs(clip[2] / clip[3])).toBeLessThan(1);
    }
  });

  it('has the vertical of the world upright on the screen', () => {
    const down: Vec3 = index === 1 ? [1, 0, 0] : [0, 0, -1];
    expect(rotate(camera.worldFromBase, down)).toEqual([0, 0, -1].map((v) => expect.closeTo(v)));
    const [cx, cy] = camera.project([0, 0, 0]);
    const [x, y] = camera.project(scale(down, 50));
    expect(x).toBeCloseTo(cx, 9);
    expect(y).toBeGreaterThan(cy);
  });
});

describe('fit', () => {
  it.each([
    [1280, 480],
    [2000, 700],
    [480, 800],
    [300, 300],
  ])('shows the whole dome, touching the margin, on %i × %i', (width, height) => {
    const camera = cameraOf(true, 0);
    Object.assign(camera, { width, height });
    camera.update();
    const margin = Math.min(26, 0.06 * Math.min(width, height));
    const xs: number[] = [];
    const ys: number[] = [];
    for (let i = 0; i <= 60; i += 1) {
      for (let j = 0; j < 120; j += 1) {
        const [polar, turn] = [(Math.PI * i) / 120, (Math.PI * j) / 60];
        const s = Math.sin(polar);
        const d: Vec3 = [s * Math.cos(turn), s * Math.sin(turn), Math.cos(polar)];
        const [x, y] = camera.project(scale(d, camera.framing.outer));
        xs.push(x);
        ys.push(y);
      }
    }
    const gaps = [
      Math.min(...xs),
      width - Math.max(...xs),
      Math.min(...ys),
      height - Math.max(...ys),
    ];
    expect(Math.min(...gaps)).toBeGreaterThan(margin - 1);
    expect(Math.min(...gaps)).toBeLessThan(margin + 1 + 0.2 * height);
  });
});

describe('sphere', () => {
  it('meets a ray where it should, and not when it passes by', () => {
    const hits = meetSphere({ from: [10, 0, 0], direction: [-1, 0, 0] }, 2);
    expect(hits?.map((p) => p[0])).toEqual([2, -2]);
    expect(meetSphere({ from: [10, 3, 0], direction: [-1, 0, 0] }, 2)).toBeNull();
  });

  it.each([true, false])('silhouette point is a tangent point, perspective %s', (perspective) => {
    const camera = cameraOf(perspective, 0);
    const ray = camera.ray(20, 60);
    expect(meetSphere(ray, 140)).toBeNull();
    const point = scale(silhouette(camera, ray, 140), 140);
    const toEye = camera.towardsEye(point);
    expect(Math.abs(dot(unit(point), toEye))).toBeLessThan(1e-9);
    // Of all tangent points it is the one nearest to the ray: those beside it are further.
    const distance = (p: Vec3): number => {
      const to = subtract(p, ray.from);
      return length(subtract(to, scale(ray.direction, dot(to, ray.direction))));
    };
    const axis = camera.towardsEye([0, 0, 0]);
    for (const turn of [-0.05, 0.05]) {
      const beside = turnAbout(axis, point, turn);
      expect(distance(beside)).toBeGreaterThan(distance(point));
    }
  });
});

function turnAbout(axis: Vec3, v: Vec3, angle: number): Vec3 {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const k = dot(axis, v) * (1 - c);
  return [
    v[0] * c + (axis[1] * v[2] - axis[2] * v[1]) * s + axis[0] * k,
    v[1] * c + (axis[2] * v[0] - axis[0] * v[2]) * s + axis[1] * k,
    v[2] * c + (axis[0] * v[1] - axis[1] * v[0]) * s + axis[2] * k,
  ];
}
