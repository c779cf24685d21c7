import { describe, expect, it } from 'vitest';
import { areaOf, addBall, addBar, addCylinder, bodyMesh, jointSizes, toolSpan } from './geometry';
import { MeshBuilder, bracket, toolMesh, type MeshArrays } from './geometry';
import { cross, dot, subtract, unit } from './arcs';
import { sampleShape } from './sample';
import type { SectionOutline, Vec3 } from './types';

const DEGREE = Math.PI / 180;
const RADIUS = 150;

function corner(mesh: MeshArrays, index: number): Vec3 {
  const at = 3 * (mesh.indices[index] as number);
  return [...mesh.positions.slice(at, at + 3)] as Vec3;
}

/** Volume inside a closed surface, by the divergence theorem (derived). */
function volume(mesh: MeshArrays): number {
  let sum = 0;
  for (let i = 0; i < mesh.indices.length; i += 3) {
    sum += dot(corner(mesh, i), cross(corner(mesh, i + 1), corner(mesh, i + 2))) / 6;
  }
  return sum;
}

/** Edges that are not passed exactly once each way, by position. */
function openEdges(mesh: MeshArrays): number {
  const count = new Map<string, number>();
  const key = (p: Vec3): string => p.map((v) => Math.round(v * 1e4) + 0).join(',');
  for (let i = 0; i < mesh.indices.length; i += 3) {
    for (let k = 0; k < 3; k += 1) {
      const a = key(corner(mesh, i + k));
      const b = key(corner(mesh, i + ((k + 1) % 3)));
      if (a === b) continue;
      count.set(`${a} ${b}`, (count.get(`${a} ${b}`) ?? 0) + 1);
      count.set(`${b} ${a}`, (count.get(`${b} ${a}`) ?? 0) - 1);
    }
  }
  return [...count.values()].filter((n) => n !== 0).length;
}

/** Least cosine between a triangle's own normal and those of its vertices. */
function leastAgreement(mesh: MeshArrays): number {
  let least = 1;
  for (let i = 0; i < mesh.indices.length; i += 3) {
    const [a, b, c] = [corner(mesh, i), corner(mesh, i + 1), corner(mesh, i + 2)];
    const own = unit(cross(subtract(b, a), subtract(c, a)));
    for (let k = 0; k < 3; k += 1) {
      const at = 3 * (mesh.indices[i + k] as number);
      least = Math.min(least, dot(own, [...mesh.normals.slice(at, at + 3)] as Vec3));
    }
  }
  return least;
}

function barOf(section: SectionOutline, angle: number, trim = 0): MeshArrays {
  const builder = new MeshBuilder();
  const to: Vec3 = [Math.sin(angle), 0.3 * Math.sin(angle), Math.cos(angle)];
  const from: Vec3 = [0, 0, 1];
  const [u, v] = [unit(from), unit(to)];
  addBar(builder, u, v, RADIUS, section, trim);
  return builder.arrays();
}

const angleTo = (angle: number): number =>
  Math.atan2(Math.hypot(1, 0.3) * Math.sin(angle), Math.cos(angle));

const SECTIONS: { name: string; section: SectionOutline }[] = [
  { name: 'solid bar', section: { kind: 'rectangle', tangential: 12, radial: 6, wall: null } },
  { name: 'tube', section: { kind: 'rectangle', tangential: 14, radial: 9, wall: 1.5 } },
  { name: 'rod', section: { kind: 'round', outer: 10, inner: null } },
  { name: 'round tube', section: { kind: 'round', outer: 10, inner: 7 } },
];

describe.each(SECTIONS)('swept bar: $name', ({ section }) => {
  const angle = 40 * DEGREE;
  const mesh = barOf(section, angle);

  it('has the volume R·φ·A of the second theorem of Pappus, centroid on the sphere', () => {
    // Derived. A corner polygon of 20 has 1.6 % less area than its circle, the faceted arc of
    // 1.5° steps 0.01 % less length; a rectangle has only the latter.
    const expected = RADIUS * angleTo(angle) * areaOf(section);
    const ratio = volume(mesh) / expected;
    expect(ratio).toBeLessThanOrEqual(1);
    expect(ratio).toBeGreaterThan(section.kind === 'round' ? 0.983 : 0.9998);
  });

  it('is closed, with normals outwards', () => {
    expect(openEdges(mesh)).toBe(0);
    expect(leastAgreement(mesh)).toBeGreaterThan(section.kind === 'round' ? 0.98 : 0.999);
  });

  it('loses R·A times twice the trim at its ends, and is nothing when nothing remains', () => {
    const trim = 3 * DEGREE;
    const share = volume(barOf(section, angle, trim)) / volume(mesh);
    const expected = (angleTo(angle) - 2 * trim) / angleTo(angle);
    expect(share).toBeCloseTo(expected, 4);
    expect(barOf(section, angle, angleTo(angle)).indices).toHaveLength(0);
  });
});

it('a faceted rectangular bar has exactly N·R·A·sin(φ/N)', () => {
  // Derived: between two planes through the axis at δ the section sweeps w·½·sin δ·(ro² − ri²).
  const section: SectionOutline = { kind: 'rectangle', tangential: 12, radial: 6, wall: null };
  const angle = angleTo(30 * DEGREE);
  const steps = Math.ceil(angle / (1.5 * DEGREE));
  const expected = steps * RADIUS * 72 * Math.sin(angle / steps);
  expect(volume(barOf(section, 30 * DEGREE)) / expected).toBeCloseTo(1, 5);
});

describe('cylinders, cones and balls', () => {
  it('are closed, outwards, and of the volume of a prism, a pyramid and nearly a sphere', () => {
    const polygon = (n: number, r: number): number => (n / 2) * r * r * Math.sin((2 * Math.PI) / n);
    const cylinder = new MeshBuilder();
    addCylinder(cylinder, [1, 2, 3], [4, 6, 3], 2, 2, 16);
    expect(volume(cylinder.arrays())).toBeCloseTo(5 * polygon(16, 2), 3);
    const cone = new MeshBuilder();
    addCylinder(cone, [0, 0, 0], [0, 0, 6], 2, 0, 16);
    expect(volume(cone.arrays())).toBeCloseTo((6 * polygon(16, 2)) / 3, 3);
    const ball = new MeshBuilder();
    addBall(ball, [5, 5, 5], 3, 24);
    expect(volume(ball.arrays()) / (36 * Math.PI)).toBeGreaterThan(0.985);
    for (const mesh of [cylinder.arrays(), cone.arrays(), ball.arrays()]) {
      expect(openEdges(mesh)).toBe(0);
      expect(leastAgreement(mesh)).toBeGreaterThan(0.9);
    }
  });
});

describe('bodies and tool', () => {
  const shape = sampleShape({ stages: 2, arc: 0.41, half: 0.7, swing: 0 });
  const body = shape.bodies[3];

  it('bars end inside their bosses, corners too', () => {
    const { trim, bossDiameter } = jointSizes(shape);
    expect(trim).toBeGreaterThan(0);
    expect(Math.hypot(trim * shape.jointRadius, 6)).toBeLessThan(bossDiameter / 2);
  });

  it('without bosses bars reach the joints and have rounded ends', () => {
    const bare = { ...shape, bossDiameter: 0 };
    expect(jointSizes(bare).trim).toBe(0);
    if (!body) throw new Error('the sample has too few bodies');
    const more = bodyMesh(bare, body).indices.length;
    expect(more).toBeGreaterThan(bodyMesh(shape, body).indices.length);
  });

  it('draws a bar with its own section', () => {
    const body = shape.bodies[1];
    if (!body) throw new Error('the sample has too few bodies');
    const section: SectionOutline = { kind: 'rectangle', tangential: 12, radial: 30, wall: null };
    const reach = (mesh: MeshArrays): number => {
      const corners = [...mesh.indices].map((_, index) => corner(mesh, index));
      return Math.max(...corners.map((p) => Math.hypot(...p)));
    };
    expect(reach(bodyMesh(shape, { ...body, section }))).toBeGreaterThan(shape.jointRadius + 14.9);
    expect(reach(bodyMesh(shape, body))).toBeLessThan(shape.jointRadius + 14.9);
  });

  it('the tool reaches from its tip past its centre of mass, whether it points in or out', () => {
    const reach = (mesh: MeshArrays): [number, number] => {
      const radii: number[] = [];
      for (let i = 2; i < mesh.positions.length; i += 3) radii.push(mesh.positions[i] as number);
      return [Math.min(...radii), Math.max(...radii)];
    };
    const inward = reach(toolMesh(shape, [0, 0, 1]));
    expect(inward[0]).toBeCloseTo(110, 4);
    expect(inward[1]).toBeGreaterThan(172);
    const tool = { ...shape.tool, tipRadius: 240 };
    const outward = reach(toolMesh({ ...shape, tool }, [0, 0, 1]));
    expect(outward[1]).toBeCloseTo(240, 4);
    expect(toolSpan({ ...shape, tool }).end).toBeLessThan(150);
  });

  it('a bracket is drawn only where the tool sits beyond the stations of its carrier', () => {
    expect(bracket(shape)).toBeNull();
    const tool = { ...shape.tool, direction: unit([0.2, 0, 1]) };
    expect(bracket({ ...shape, tool })?.to[0]).toBeCloseTo(0.19612, 4);
  });
});
