/** Small pieces of the WebGL drawing. */
import * as THREE from 'three';
import { LineMaterial } from 'three/examples/jsm/lines/LineMaterial.js';
import { LineSegments2 } from 'three/examples/jsm/lines/LineSegments2.js';
import { LineSegmentsGeometry } from 'three/examples/jsm/lines/LineSegmentsGeometry.js';
import { add, cross, directionOf, perpendicular, scale, unit } from './arcs';
import { HATCH, gridIndices, rawColour } from './dome';
import type { MeshArrays, MeshBuilder } from './geometry';
import type { Vec3 } from './types';

/** Order of painting where depth does not decide. */
export const ORDER = {
  dome: -2,
  ghost: -1,
  fill: 2,
  halo: 3,
  line: 4,
  other: 6,
} as const;

export function geometryOf(arrays: MeshArrays): THREE.BufferGeometry {
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute('position', new THREE.BufferAttribute(arrays.positions, 3));
  geometry.setAttribute('normal', new THREE.BufferAttribute(arrays.normals, 3));
  geometry.setIndex(new THREE.BufferAttribute(arrays.indices, 1));
  return geometry;
}

export function edgeGeometryOf(arrays: MeshArrays): THREE.BufferGeometry {
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute('position', new THREE.BufferAttribute(arrays.edges, 3));
  return geometry;
}

/** Polylines of points in mm as one object of line segments, a device pixel wide. */
export function thinLines(lines: Vec3[][], colour: string, opacity: number): THREE.LineSegments {
  const points = segments(lines);
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute('position', new THREE.BufferAttribute(new Float32Array(points), 3));
  const material = new THREE.LineBasicMaterial({ color: colour, transparent: true, opacity });
  material.depthWrite = false;
  return new THREE.LineSegments(geometry, material);
}

function segments(lines: Vec3[][]): number[] {
  const points: number[] = [];
  for (const line of lines) {
    for (let i = 0; i + 1 < line.length; i += 1) {
      points.push(...(line[i] as Vec3), ...(line[i + 1] as Vec3));
    }
  }
  return points;
}

export interface Pen {
  colour: string;
  width: number;
  dash?: number[];
  /** Dashes in mm: so many mm are one CSS pixel. */
  millimetresPerPixel: number;
  halo?: { colour: string; width: number };
}

/** Polylines of a width in CSS pixels, with a halo below them where wanted. */
export function wideLines(lines: Vec3[][], pen: Pen): LineSegments2[] {
  const points = segments(lines);
  if (points.length === 0) return [];
  const geometry = new LineSegmentsGeometry().setPositions(points);
  const out: LineSegments2[] = [];
  if (pen.halo) {
    const width = pen.width + 2 * pen.halo.width;
    const under = new LineMaterial({ color: pen.halo.colour, linewidth: width });
    lift(under);
    const halo = new LineSegments2(geometry, under);
    halo.renderOrder = ORDER.halo;
    out.push(halo);
  }
  const material = new LineMaterial({ color: pen.colour, linewidth: pen.width });
  lift(material);
  if (pen.dash) {
    material.dashed = true;
    material.dashSize = (pen.dash[0] ?? 6) * pen.millimetresPerPixel;
    material.gapSize = (pen.dash[1] ?? 4) * pen.millimetresPerPixel;
  }
  const line = new LineSegments2(geometry, material);
  if (pen.dash) setRunningDistances(geometry, lines);
  line.renderOrder = ORDER.line;
  out.push(line);
  return out;
}

/**
 * Lifts lines off the surface they lie on: they are flat to the screen, so that at a slope half of
 * their width would sink into it. About 1 mm for a dome of 150 mm.
 */
function lift(material: LineMaterial): void {
  material.depthWrite = false;
  material.polygonOffset = true;
  material.polygonOffsetUnits = -32000;
}

/**
 * Distances along each polyline, so that dashes run on from segment to segment; the library's own
 * start again with each.
 */
function setRunningDistances(geometry: LineSegmentsGeometry, lines: Vec3[][]): void {
  const distances: number[] = [];
  for (const line of lines) {
    let run = 0;
    for (let i = 0; i + 1 < line.length; i += 1) {
      const [a, b] = [line[i] as Vec3, line[i + 1] as Vec3];
      const next = run + Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
      distances.push(run, next);
      run = next;
    }
  }
  const buffer = new THREE.InstancedInterleavedBuffer(new Float32Array(distances), 2, 1);
  const attribute = (offset: number): THREE.InterleavedBufferAttribute =>
    new THREE.InterleavedBufferAttribute(buffer, 1, offset);
  geometry.setAttribute('instanceDistanceStart', attribute(0));
  geometry.setAttribute('instanceDistanceEnd', attribute(1));
}

/** A surface marked by diagonal lines in the plane of the screen, or dimmed evenly. */
export function zoneMaterial(
  colour: string,
  fill: 'hatch' | 'dim',
  pixelRatio: number,
): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    vertexShader: /* glsl */ `
      void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: /* glsl */ `
      uniform vec3 colour;
      uniform float pixelRatio;
      uniform float even;
      ${HATCH}
      void main() {
        gl_FragColor = vec4(colour, even > 0.5 ? 0.85 : 0.9 * hatch(pixelRatio));
      }`,
    uniforms: {
      colour: { value: rawColour(colour) },
      pixelRatio: { value: pixelRatio },
      even: { value: fill === 'dim' ? 1 : 0 },
    },
    // Blended, yet among the opaque objects, so that lines come over it.
    blending: THREE.CustomBlending,
    depthWrite: false,
    side: THREE.DoubleSide,
  });
}

/** Writes the matrix of a unit cylinder (along +z, radius 1, height 1) set up at a direction. */
export function cylinderMatrix(
  matrix: THREE.Matrix4,
  direction: Vec3,
  radius: number,
  diameter: number,
  height: number,
): THREE.Matrix4 {
  const e1 = scale(perpendicular(direction), diameter / 2);
  const e2 = cross(direction, e1);
  const [d, h] = [direction, height];
  return matrix.set(
    ...([e1[0], e2[0], d[0] * h, d[0] * radius] as const),
    ...([e1[1], e2[1], d[1] * h, d[1] * radius] as const),
    ...([e1[2], e2[2], d[2] * h, d[2] * radius] as const),
    ...([0, 0, 0, 1] as const),
  );
}

/** Takes a rotation, row by row, and a size as the matrix of an object. */
export function setRotation(object: THREE.Object3D, rotation: readonly number[], size = 1): void {
  const m = (i: number): number => size * (rotation[i] ?? 0);
  object.matrix.set(m(0), m(1), m(2), 0, m(3), m(4), m(5), 0, m(6), m(7), m(8), 0, 0, 0, 0, 1);
  object.matrixWorldNeedsUpdate = true;
}

/** A group whose matrix is written directly. */
export function frame(): THREE.Group {
  const group = new THREE.Group();
  group.matrixAutoUpdate = false;
  return group;
}

/** Empties a group and frees what its objects hold on the graphics card. */
export function clear(group: THREE.Object3D): void {
  group.traverse((object) => {
    const { geometry, material } = object as THREE.Mesh;
    geometry?.dispose();
    for (const one of Array.isArray(material) ? material : [material]) {
      const ramp = (one as THREE.ShaderMaterial | undefined)?.uniforms?.ramp?.value as
        THREE.Texture | undefined;
      ramp?.dispose?.();
      one?.dispose();
    }
    if (object instanceof THREE.InstancedMesh) object.dispose();
  });
  group.clear();
}

/** A dome without a field. */
export function plainDome(radius: number, extent: number, colour: string): THREE.Mesh {
  const geometry = new THREE.SphereGeometry(radius, 96, 48, 0, 2 * Math.PI, 0, extent);
  geometry.rotateX(Math.PI / 2);
  const material = new THREE.MeshLambertMaterial({ color: colour, side: THREE.DoubleSide });
  return new THREE.Mesh(geometry, material);
}

/** Fills a closed outline on the sphere, star-shaped about its middle. */
export function addPatch(builder: MeshBuilder, outline: Vec3[], radius: number): void {
  const middle = unit(outline.reduce((sum, point) => add(sum, point), [0, 0, 0] as Vec3));
  const rings = 6;
  const grid = Array.from({ length: rings + 1 }, (_, i) =>
    outline.map((point) => {
      const share = i / rings;
      const d = unit(add(scale(middle, 1 - share), scale(point, share)));
      return builder.vertex(scale(d, radius), d);
    }),
  );
  addGrid(builder, grid);
}

/** Fills the band between two polar angles. */
export function addBand(builder: MeshBuilder, from: number, to: number, radius: number): void {
  const [rows, columns] = [Math.max(1, Math.ceil((to - from) / 0.04)), 144];
  const grid = Array.from({ length: rows + 1 }, (_, i) =>
    Array.from({ length: columns + 1 }, (_unused, j) => {
      const d = directionOf(from + ((to - from) * i) / rows, (2 * Math.PI * j) / columns);
      return builder.vertex(scale(d, radius), d);
    }),
  );
  addGrid(builder, grid);
}

function addGrid(builder: MeshBuilder, grid: number[][]): void {
  const columns = grid[0]?.length ?? 0;
  const flat = grid.flat();
  const indices = gridIndices(grid.length, columns);
  for (let i = 0; i < indices.length; i += 3) {
    const corner = (k: number): number => flat[indices[i + k] as number] as number;
    builder.triangle(corner(0), corner(1), corner(2));
  }
}
