/** From what the program answers to what the drawing takes: units and names only. */
import type {
  DomeAnswer,
  LinkageAnswer,
  LoadAnswer,
  PartsAnswer,
  PolarAzimuth,
  PoseAnswer,
  SectionShape,
  ZoneShape,
} from '../api/types';
import type {
  SceneDeflected,
  SceneField,
  SceneLoad,
  SceneParts,
  ScenePose,
  SceneShape,
  SceneZone,
  SectionOutline,
  Vec3,
} from '../dome';
import { fixed } from '../state/numbers';
import { turned } from '../state/sphere';

const RADIAN = Math.PI / 180;

function outlineOf(section: SectionShape): SectionOutline {
  return section.kind === 'rectangle'
    ? {
        kind: 'rectangle',
        tangential: section.tangential_mm,
        radial: section.radial_mm,
        wall: section.wall_mm,
      }
    : { kind: 'round', outer: section.outer_mm, inner: section.inner_mm };
}

export function shapeOf(linkage: LinkageAnswer): SceneShape {
  return {
    jointRadius: linkage.joint_radius_mm,
    section: outlineOf(linkage.section),
    bossDiameter: linkage.boss_diameter_mm,
    bodies: linkage.bodies.map((body, index) => ({
      name: body.name,
      moving: index > 0,
      stations: body.stations,
      arcs: body.arcs.map(([from, to]) => ({ from, to })),
      section: outlineOf(body.section),
    })),
    joints: linkage.joints.map((joint) => ({
      name: joint.name,
      body: joint.body,
      station: joint.station,
      kind: joint.role,
      handle: joint.handle,
    })),
    tool: {
      body: linkage.tool.body,
      direction: linkage.tool.direction,
      tipRadius: linkage.tool.tip_radius_mm,
      massRadius: linkage.tool.centre_of_mass_radius_mm,
    },
    worldFromBase: linkage.world_from_base,
  };
}

/** The parts to be drawn; null where nothing is built. */
export function partsOf(answer: PartsAnswer | null): SceneParts | null {
  if (!answer || answer.parts.length === 0) return null;
  return {
    bodyRadii: answer.bodies.map((body) => body.radius_mm),
    pitch: answer.pitch_mm,
    parts: answer.parts.map((part) => ({
      name: part.name,
      kind: part.kind,
      body: part.body,
      joint: part.joint,
      between: part.between,
      radii: part.radii_mm,
      positions: new Float32Array(part.positions_mm),
      triangles: new Uint32Array(part.triangles),
    })),
  };
}

export const poseOf = (pose: PoseAnswer): ScenePose => ({ rotations: pose.rotations });

/** Where a joint lies, base frame. */
export function jointDirection(
  linkage: LinkageAnswer,
  pose: PoseAnswer,
  joint: number,
): Vec3 | null {
  const found = linkage.joints[joint];
  const station = found && linkage.bodies[found.body]?.stations[found.station];
  const rotation = found && pose.rotations[found.body];
  return station && rotation ? turned(rotation, station) : null;
}

export function fieldOf(dome: DomeAnswer, radius: number): SceneField {
  return {
    polar: dome.polar_deg.map((angle) => angle * RADIAN),
    azimuth: dome.azimuth_deg.map((angle) => angle * RADIAN),
    values: dome.values,
    state: dome.state,
    low: dome.low ?? 0,
    high: dome.high ?? 1,
    radius,
    caps: dome.caps.map((cap) => ({
      axis: cap.axis,
      cosHalfAngle: Math.cos(cap.half_angle_deg * RADIAN),
      kind: cap.excluded ? 'excluded' : 'region',
    })),
  };
}

export const zoneOf = (zone: ZoneShape): SceneZone => ({
  kind: zone.kind,
  name: zone.name,
  outlines: zone.outlines,
  bands: zone.bands_deg.map(([from, to]) => ({
    polarFrom: from * RADIAN,
    polarTo: to * RADIAN,
  })),
});

export function loadOf(load: LoadAnswer): SceneLoad {
  const size = Math.hypot(...load.force_n);
  return { at: load.at_mm, force: load.force_n, label: `${fixed(size, 1)} N` };
}

/**
 * The deflected outline, enlarged by a round number so that the tip moves by about an
 * eighth of the radius.
 */
export function deflectedOf(load: LoadAnswer, radius: number): SceneDeflected | null {
  const most = Math.max(
    load.deflection_mm,
    ...load.arcs.flatMap((arc) =>
      arc.points.map((point, k) => {
        const to = arc.moved[k] ?? point;
        return Math.hypot(to[0] - point[0], to[1] - point[1], to[2] - point[2]);
      }),
    ),
  );
  if (!(most > 0)) return null;
  return {
    scale: roundScale(radius / 8 / most),
    arcs: load.arcs,
    tip: load.tip[0],
    tipMoved: load.tip[1],
    shares: load.shares,
  };
}

/** The nearest of 1, 2, 5 times a power of ten below a number; at least 1. */
export function roundScale(scale: number): number {
  if (scale <= 1) return 1;
  const power = 10 ** Math.floor(Math.log10(scale));
  const lead = scale / power;
  return power * (lead >= 5 ? 5 : lead >= 2 ? 2 : 1);
}

/** The value of a quantity at a direction, between the nodes of its grid; null outside. */
export function valueOver(dome: DomeAnswer, at: PolarAzimuth): number | null {
  const place = (nodes: number[], value: number): [number, number] | null => {
    const last = nodes.length - 1;
    if (last < 1 || value < (nodes[0] ?? 0) || value > (nodes[last] ?? 0)) return null;
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((nodes[middle] ?? 0) <= value) low = middle;
      else high = middle;
    }
    const width = (nodes[high] ?? 0) - (nodes[low] ?? 0);
    return [low, width > 0 ? (value - (nodes[low] ?? 0)) / width : 0];
  };
  const p = place(dome.polar_deg, at.polar);
  const a = place(dome.azimuth_deg, at.azimuth);
  if (!p || !a) return null;
  const columns = dome.azimuth_deg.length;
  const node = (row: number, column: number) => dome.values[row * columns + column] ?? null;
  const corners = [
    node(p[0], a[0]),
    node(p[0], a[0] + 1),
    node(p[0] + 1, a[0]),
    node(p[0] + 1, a[0] + 1),
  ];
  const [v00, v01, v10, v11] = corners;
  if (v00 == null || v01 == null || v10 == null || v11 == null) return null;
  const near = v00 + (v01 - v00) * a[1];
  const far = v10 + (v11 - v10) * a[1];
  return near + (far - near) * p[1];
}

/** The grid of a quantity as a table. */
export function domeCsv(dome: DomeAnswer): string {
  const states = ['covered', 'out of reach', 'excluded', 'outside the region'];
  const name = dome.label.toLowerCase().replace(/[^a-z0-9]+/g, '_');
  const unit = { 'N/mm': '_n_per_mm', mm: '_mm', 'N·m': '_nm' }[dome.unit] ?? '';
  const columns = dome.azimuth_deg.length;
  const lines = [`polar_deg,azimuth_deg,${name}${unit},state`];
  dome.values.forEach((value, k) => {
    const polar = dome.polar_deg[Math.floor(k / columns)] ?? 0;
    const azimuth = dome.azimuth_deg[k % columns] ?? 0;
    lines.push(`${polar},${azimuth},${value ?? ''},${states[dome.state[k] ?? 1]}`);
  });
  return lines.join('\n') + '\n';
}
