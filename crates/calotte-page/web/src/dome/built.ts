/**
 * The parts of a built design: their edges, and where they are drawn. Pure functions, lengths in
 * mm.
 *
 * Drawn apart, every part is enlarged about the remote centre, so that it stays on the axes of its
 * own joints whatever the linkage does. By how much follows from its place in the order of the
 * layers; the innermost layer and the tool keep their size.
 */
import { cross, dot, subtract, unit } from './arcs';
import type { ScenePart, SceneParts, SceneShape, Vec3 } from './types';

/** By how many layer pitches neighbouring layers move apart: room for a pin between them. */
const PITCHES = 3;
/** The outermost layer moves out by no more than this share of its radius. */
const SHARE_MAX = 0.7;
/** Where spacer and pin lie between the two bars of their joint: 0 at the inner, 1 at the outer. */
const SPACER_PLACE = 0.13;
const PIN_PLACE = 0.6;
/** Steps beyond its bar by which a shaft moves, the longer one further, and the housing. */
const SHAFT_STEP = 0.5;
const HOUSING_STEP = 1.7;
/** Faces that meet at less than this angle are one curved face: no edge is drawn, cosine of 25°. */
const CREASE = Math.cos((25 * Math.PI) / 180);

/** Places of the bodies counted in layer pitches from the innermost moving one. */
function steps(parts: SceneParts): number[] {
  const moving = parts.parts.filter((part) => part.kind === 'bar').map((part) => part.body);
  const radii = moving.map((body) => parts.bodyRadii[body] ?? 0);
  const least = Math.min(...radii);
  const pitch = parts.pitch > 0 ? parts.pitch : 1;
  return parts.bodyRadii.map((radius) => (radius - least) / pitch);
}

/** Outward shift of neighbouring layers against each other when drawn wholly apart, mm. */
function wholeStep(parts: SceneParts): number {
  const bars = parts.parts.filter((part) => part.kind === 'bar');
  const all = steps(parts);
  const most = Math.max(1, ...bars.map((part) => all[part.body] ?? 0));
  const radius = Math.max(...bars.map((part) => parts.bodyRadii[part.body] ?? 0));
  return Math.min(PITCHES * parts.pitch, (SHARE_MAX * radius) / most);
}

/** Place of a part in the order of the layers, in steps. */
function placeOf(parts: SceneParts, part: ScenePart, all: number[]): number {
  const own = all[part.body] ?? 0;
  const both = (part.between ?? []).map((body) => all[body] ?? 0);
  const [low, high] = [Math.min(own, ...both), Math.max(own, ...both)];
  if (part.kind === 'spacer') return low + SPACER_PLACE * (high - low);
  if (part.kind === 'pin') return low + PIN_PLACE * (high - low);
  const shafts = parts.parts.filter((one) => one.kind === 'shaft');
  const outermost = Math.max(0, ...shafts.map((one) => all[one.body] ?? 0));
  if (part.kind === 'shaft') return outermost + SHAFT_STEP * (1 + outermost - own);
  if (part.kind === 'housing') return outermost + HOUSING_STEP;
  return own;
}

/**
 * Factor by which each part is enlarged about the remote centre.
 *
 * @param apart 0: as assembled, all factors are 1; 1: wholly apart.
 */
export function enlargements(parts: SceneParts, apart: number): number[] {
  const step = apart * wholeStep(parts);
  const all = steps(parts);
  return parts.parts.map((part) => {
    const middle = (part.radii[0] + part.radii[1]) / 2;
    return middle > 0 ? 1 + (step * placeOf(parts, part, all)) / middle : 1;
  });
}

/** A shape with the places at which the parts are drawn. */
export function placed(shape: SceneShape, parts: SceneParts, apart: number): SceneShape {
  const factors = enlargements(parts, apart);
  const outer = (test: (part: ScenePart) => boolean): number =>
    Math.max(0, ...parts.parts.map((part, i) => (test(part) ? part.radii[1] * factors[i]! : 0)));
  const bars = parts.parts.filter((part) => part.kind === 'bar');
  const barOuter = outer((part) => part.kind === 'bar' || part.kind === 'pin');
  return {
    ...shape,
    places: {
      innerFace: Math.min(shape.jointRadius, ...bars.map((part) => part.radii[0])),
      outerFace: barOuter,
      top: outer(() => true),
      toolEnd:
        0.13 * shape.jointRadius +
        outer(
          (part) =>
            part.kind !== 'housing' &&
            (part.body === shape.tool.body || part.between?.includes(shape.tool.body) === true),
        ),
      joints: shape.joints.map((joint) => {
        const own = outer((part) => part.kind === 'pin' && part.joint === joint.name);
        return own > 0 ? own : barOuter;
      }),
    },
  };
}

/**
 * The edges of a closed mesh at which its faces meet at an angle, as ends of line segments.
 *
 * @param positions Corners, three numbers each.
 * @param triangles Three corners each, by index.
 */
export function creases(positions: Float32Array, triangles: Uint32Array): Float32Array {
  const corner = (index: number): Vec3 => [
    positions[3 * index] as number,
    positions[3 * index + 1] as number,
    positions[3 * index + 2] as number,
  ];
  const normals: Vec3[] = [];
  const faceOf = new Map<number, number>();
  const count = positions.length / 3;
  for (let face = 0; 3 * face < triangles.length; face += 1) {
    const at = (k: number): number => triangles[3 * face + (k % 3)] as number;
    const [a, b, c] = [corner(at(0)), corner(at(1)), corner(at(2))];
    normals.push(unit(cross(subtract(b, a), subtract(c, a))));
    for (let k = 0; k < 3; k += 1) faceOf.set(at(k) * count + at(k + 1), face);
  }
  const out: number[] = [];
  for (const [key, face] of faceOf) {
    const [from, to] = [Math.floor(key / count), key % count];
    const other = faceOf.get(to * count + from);
    if (other === undefined || from > to) continue;
    if (dot(normals[face] as Vec3, normals[other] as Vec3) > CREASE) continue;
    out.push(...corner(from), ...corner(to));
  }
  return new Float32Array(out);
}
