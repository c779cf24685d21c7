/** What both ways of drawing share: what is shown, the camera, picking, and when to draw. */
import { add, angleBetween, dot, length, rotate, scale, subtract, unit } from './arcs';
import { IDENTITY } from './arcs';
import { placed } from './built';
import { domeExtent, domeRadius } from './dome';
import { toolSpan } from './geometry';
import { Hold, type Side } from './hold';
import { measuredMarks, rowAt, rowSpots, type RowSpot } from './measured';
import type { Sight } from './overlay';
import { plannedMarks } from './planned';
import { palette, type Palette } from './palette';
import type { Primitive } from './picture';
import { Camera, meetSphere, silhouette } from './project';
import type * as T from './types';
import type { Vec3 } from './types';

/** Parts of the drawing that are rebuilt separately. */
export type Part =
  | 'shape'
  | 'parts'
  | 'drawn'
  | 'marked'
  | 'pose'
  | 'other'
  | 'other-pose'
  | 'field'
  | 'zones'
  | 'load'
  | 'deflected'
  | 'tint'
  | 'path'
  | 'margin'
  | 'measured'
  | 'marked-row'
  | 'planned'
  | 'theme'
  | 'view';

/** Everything shown, as set. */
export interface Shown {
  /** With the places of its parts where these are drawn. */
  shape: T.SceneShape | null;
  parts: T.SceneParts | null;
  drawn: T.SceneDrawn;
  marked: readonly string[];
  pose: T.ScenePose | null;
  other: T.SceneShape | null;
  otherPose: T.ScenePose | null;
  field: T.SceneField | null;
  zones: T.SceneZone[];
  load: T.SceneLoad | null;
  deflected: T.SceneDeflected | null;
  tint: number[] | null;
  path: { points: Vec3[]; at: number | null };
  margin: { stage: number; share: number } | null;
  measured: T.SceneMeasured | null;
  markedRow: number | null;
  planned: Vec3[];
  dark: boolean;
}

export const rotationOf = (pose: T.ScenePose | null, body: number): readonly number[] =>
  pose?.rotations[body] ?? IDENTITY;

/** Base-frame unit vector of a joint; null if it names a body or station that is not there. */
export function jointDirection(
  shape: T.SceneShape,
  pose: T.ScenePose | null,
  joint: T.SceneJoint,
): Vec3 | null {
  const station = shape.bodies[joint.body]?.stations[joint.station];
  return station ? rotate(rotationOf(pose, joint.body), unit(station)) : null;
}

/** Radius at which a joint is marked and taken hold of, mm. */
export const jointRadius = (shape: T.SceneShape, joint: number): number =>
  shape.places?.joints[joint] ?? shape.jointRadius;

/** Base-frame unit vector of the tool. */
export const toolDirection = (shape: T.SceneShape, pose: T.ScenePose | null): Vec3 =>
  rotate(rotationOf(pose, shape.tool.body), unit(shape.tool.direction));

/** Shares by which the bodies are tinted: as set, else those of the deflected shape. */
export const tintOf = (shown: Shown): number[] | null =>
  shown.tint ?? shown.deflected?.shares ?? null;

/**
 * The two side joints of a stage, as indices into the joints: side joints are given stage by
 * stage, two a stage.
 */
export function sideJoints(shape: T.SceneShape, stage: number): number[] {
  const sides = shape.joints.flatMap((joint, i) => (joint.kind === 'side' ? [i] : []));
  return sides.slice(2 * stage, 2 * stage + 2);
}

/** What the marks of a measured prototype and of a plan depend on: not the pose. */
const MEASURED: Part[] = ['measured', 'planned', 'shape', 'field', 'view', 'theme'];

const HANDLE_REACH = 15;
const JOINT_REACH = 10;
const TOOL_REACH = 9;

export abstract class SceneBase implements T.Scene {
  abstract readonly slow: boolean;
  abstract busy(): boolean;

  protected readonly shown: Shown = {
    shape: null,
    parts: null,
    drawn: { built: false, apart: 0 },
    marked: [],
    pose: null,
    other: null,
    otherPose: null,
    field: null,
    zones: [],
    load: null,
    deflected: null,
    tint: null,
    path: { points: [], at: null },
    margin: null,
    measured: null,
    markedRow: null,
    planned: [],
    dark: false,
  };
  protected readonly stale = new Set<Part>(['view']);
  protected pixelRatio = 1;
  private frame = 0;
  private spots: RowSpot[] = [];
  private measuredItems: Primitive[] = [];

  onframed: (() => void) | null = null;

  /** The shape as set, bars as one line. */
  protected line: T.SceneShape | null = null;

  constructor(protected readonly camera: Camera) {}

  /** Whether this way of drawing can draw parts. */
  protected get drawsParts(): boolean {
    return false;
  }

  /** Draws now. */
  protected abstract render(): void;
  abstract statistics(): { drawCalls: number; triangles: number; vertexUpdateMs: number };
  abstract svg(): string;

  protected get colours(): Palette {
    return palette(this.shown.dark);
  }

  private change(part: Part): void {
    this.stale.add(part);
  }

  setShape(shape: T.SceneShape): void {
    this.line = shape;
    this.shown.parts = null;
    this.camera.worldFromBase = shape.worldFromBase;
    this.change('shape');
    this.change('parts');
    this.place();
  }

  setParts(parts: T.SceneParts | null): void {
    this.shown.parts = parts;
    this.change('shape');
    this.change('parts');
    this.place();
  }

  setDrawn(drawn: T.SceneDrawn): void {
    const { built, apart } = this.shown.drawn;
    if (drawn.built === built && drawn.apart === apart) return;
    this.shown.drawn = drawn;
    // Dome and marks lie otherwise; while parts only move apart, they stay.
    if (drawn.built !== built) this.change('shape');
    this.change('drawn');
    this.place();
  }

  setMarked(names: readonly string[]): void {
    this.shown.marked = names;
    this.change('marked');
  }

  /** Whether parts are drawn rather than one line. */
  protected get built(): boolean {
    return this.drawsParts && this.shown.drawn.built && this.shown.parts !== null;
  }

  private place(): void {
    const { parts, drawn } = this.shown;
    this.shown.shape =
      this.line && parts && this.built ? placed(this.line, parts, drawn.apart) : this.line;
    this.reframe();
  }

  drawnParts(): { name: string; kind: T.ScenePart['kind']; marked: boolean }[] {
    return [];
  }

  jointRadius(joint: number): number {
    return this.shown.shape ? jointRadius(this.shown.shape, joint) : 0;
  }

  toolRadius(): number {
    const { shape } = this.shown;
    if (!shape) return 0;
    const { tip, end } = toolSpan(shape);
    // The tool's outermost point, whatever the design's sizes are: its knob, or a tip outside.
    return shape.places ? end : Math.max(tip, end);
  }

  setPose(pose: T.ScenePose): void {
    this.shown.pose = pose;
    this.change('pose');
  }

  setOther(shape: T.SceneShape | null, pose: T.ScenePose | null): void {
    if (shape !== this.shown.other) {
      this.shown.other = shape;
      this.change('other');
      this.reframe();
    }
    this.shown.otherPose = pose;
    this.change('other-pose');
  }

  setField(field: T.SceneField | null): void {
    this.shown.field = field;
    this.change('field');
    this.reframe();
  }

  setZones(zones: T.SceneZone[]): void {
    this.shown.zones = zones;
    this.change('zones');
  }

  setLoad(load: T.SceneLoad | null): void {
    this.shown.load = load;
    this.change('load');
  }

  setDeflected(deflected: T.SceneDeflected | null): void {
    this.shown.deflected = deflected;
    this.change('deflected');
  }

  setTint(shares: number[] | null): void {
    this.shown.tint = shares;
    this.change('tint');
  }

  setPath(points: Vec3[], at: number | null): void {
    this.shown.path = { points, at };
    this.change('path');
  }

  setMargin(margin: { stage: number; share: number } | null): void {
    this.shown.margin = margin;
    this.change('margin');
  }

  setMeasured(measured: T.SceneMeasured | null): void {
    if (measured === this.shown.measured) return;
    this.shown.measured = measured;
    this.change('measured');
  }

  setPlanned(stops: Vec3[]): void {
    if (stops.length === 0 && this.shown.planned.length === 0) return;
    this.shown.planned = stops;
    this.change('planned');
  }

  setMarkedRow(row: number | null): void {
    if (row === this.shown.markedRow) return;
    this.shown.markedRow = row;
    this.change('marked-row');
  }

  rowAt(x: number, y: number): number | null {
    return this.shown.measured ? rowAt(this.spots, x, y) : null;
  }

  /** The marks of the measured prototype, and whether they are others than at the last drawing. */
  protected measuredMarks(): { items: Primitive[]; changed: boolean } {
    const changed = MEASURED.some((part) => this.stale.has(part));
    if (changed) {
      const { sight, shown } = this;
      const { measured } = shown;
      this.spots = sight && measured ? rowSpots(sight, measured) : [];
      this.measuredItems = sight
        ? [
            ...plannedMarks(sight, shown.planned),
            ...(measured ? measuredMarks(sight, measured, this.spots) : []),
          ]
        : [];
    }
    return { items: this.measuredItems, changed };
  }

  /** What a picture is made from; null before there is a shape. */
  protected get sight(): Sight | null {
    const { shown, camera, colours } = this;
    const { shape } = shown;
    return shape && { shown, shape, camera, colours, hidden: (point) => this.hidden(point) };
  }

  setTheme(dark: boolean): void {
    if (dark === this.shown.dark) return;
    this.shown.dark = dark;
    this.change('theme');
  }

  view(): T.SceneView {
    return { ...this.camera.view };
  }

  setView(view: T.SceneView): void {
    // Short of the poles, where "up" on the screen would have no direction.
    const limit = Math.PI / 2 - 1e-3;
    const elevation = Math.min(limit, Math.max(-limit, view.elevation));
    const zoom = Math.min(40, Math.max(0.2, view.zoom));
    this.camera.view = { azimuth: view.azimuth, elevation, zoom };
    this.framed();
  }

  resize(width: number, height: number, pixelRatio: number): void {
    this.camera.width = Math.max(1, width);
    this.camera.height = Math.max(1, height);
    this.pixelRatio = Math.max(0.5, pixelRatio);
    this.framed();
  }

  draw(): void {
    if (this.stale.size === 0 || this.frame !== 0) return;
    this.render();
    this.stale.clear();
    if (typeof requestAnimationFrame !== 'function') return;
    // What changes before the next frame is drawn with that frame.
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      if (this.wanted) this.draw();
    });
  }

  /** True if something has changed since it was last drawn. */
  private get wanted(): boolean {
    return this.stale.size > 0;
  }

  drawn(): boolean {
    return !this.wanted && !this.busy();
  }

  dispose(): void {
    if (this.frame !== 0) cancelAnimationFrame(this.frame);
    this.frame = 0;
  }

  screenOf(direction: Vec3, radius: number): [number, number] {
    return this.camera.project(scale(direction, radius));
  }

  directionAt(x: number, y: number): Vec3 | null {
    const { shape, field } = this.shown;
    if (!shape) return null;
    const radius = domeRadius(shape, field);
    const points = meetSphere(this.camera.ray(x, y), radius);
    if (!points) return this.edgeNear(x, y, radius);
    const seen = points.find((point) => this.onDome(point));
    return unit(seen ?? points[0]);
  }

  hold(joint: number | null, x: number, y: number): Hold | null {
    const { shape, pose } = this.shown;
    const of = joint === null ? null : shape?.joints[joint];
    if (!shape || of === undefined) return null;
    const direction = of ? jointDirection(shape, pose, of) : toolDirection(shape, pose);
    const radius = () => (joint === null ? this.toolRadius() : this.jointRadius(joint));
    return direction && new Hold(this, { direction, radius }, [x, y]);
  }

  sideOf(direction: Vec3, radius: number): Side {
    const eye = this.camera.towardsEye(scale(direction, radius));
    return dot(eye, direction) < 0 ? 'back' : 'front';
  }

  directionOn(x: number, y: number, radius: number, side: Side): Vec3 | null {
    const points = meetSphere(this.camera.ray(x, y), radius);
    return points && unit(points[side === 'front' ? 0 : 1]);
  }

  edgeNear(x: number, y: number, radius: number): Vec3 {
    return silhouette(this.camera, this.camera.ray(x, y), radius);
  }

  pick(x: number, y: number): T.SceneHit | null {
    const { shape, pose } = this.shown;
    if (!shape) return null;
    const handle = this.nearestJoint(x, y, true, HANDLE_REACH);
    if (handle) return handle;
    const direction = toolDirection(shape, pose);
    if (this.toolDistance(x, y, direction) <= TOOL_REACH) return { kind: 'tool', direction };
    const joint = this.nearestJoint(x, y, false, JOINT_REACH);
    if (joint) return joint;
    const points = meetSphere(this.camera.ray(x, y), domeRadius(shape, this.shown.field));
    const seen = points?.find((point) => this.onDome(point));
    return seen ? { kind: 'dome', direction: unit(seen) } : null;
  }

  private onDome(point: Vec3): boolean {
    return angleBetween(point, [0, 0, 1]) <= domeExtent(this.shown.field) + 1e-9;
  }

  /** True if the dome lies between the eye and a base-frame point. */
  protected hidden(point: Vec3): boolean {
    const { shape, field } = this.shown;
    if (!shape) return false;
    const radius = domeRadius(shape, field);
    const direction = this.camera.towardsEye(point);
    const points = meetSphere({ from: point, direction }, radius) ?? [];
    return points.some((p) => dot(subtract(p, point), direction) > 1e-6 && this.onDome(p));
  }

  private nearestJoint(x: number, y: number, handles: boolean, reach: number): T.SceneHit | null {
    const { shape, pose } = this.shown;
    let best: T.SceneHit | null = null;
    let least = reach;
    shape?.joints.forEach((joint, index) => {
      const direction = joint.handle === handles ? jointDirection(shape, pose, joint) : null;
      if (!direction) return;
      const point = scale(direction, jointRadius(shape, index));
      const [px, py] = this.camera.project(point);
      const distance = Math.hypot(px - x, py - y);
      if (distance > least || this.hidden(point)) return;
      least = distance;
      best = { kind: 'joint', joint: index, direction };
    });
    return best;
  }

  /** Distance of a point of the canvas from the tool as far as it is seen, CSS pixels. */
  private toolDistance(x: number, y: number, direction: Vec3): number {
    const { shape } = this.shown;
    if (!shape) return Infinity;
    const span = toolSpan(shape);
    const samples = 12;
    let least = Infinity;
    let before: [number, number] | null = null;
    for (let i = 0; i <= samples; i += 1) {
      const radius = span.tip + ((span.end - span.tip) * i) / samples;
      const point = scale(direction, radius);
      const seen = this.hidden(point) ? null : this.camera.project(point);
      if (seen && before) least = Math.min(least, segmentDistance([x, y], before, seen));
      before = seen;
    }
    return least;
  }

  private reframe(): void {
    const { shape, other, field } = this.shown;
    if (!shape) return;
    const shapes = other ? [shape, other] : [shape];
    const radius = Math.max(...shapes.map((s) => s.places?.outerFace ?? s.jointRadius));
    const tools = shapes.map(toolSpan).flatMap(({ tip, end }) => [tip, end]);
    this.camera.framing = {
      radius,
      outer: Math.max(1.03 * radius, ...tools),
      polarMax: Math.max(Math.PI / 2, domeExtent(field)),
      top: shape.places?.top ?? 0,
    };
    this.framed();
  }

  /** The one way by which anything drawn comes to lie elsewhere on the canvas. */
  private framed(): void {
    this.camera.update();
    this.change('view');
    this.onframed?.();
  }
}

function segmentDistance(p: [number, number], a: [number, number], b: [number, number]): number {
  const along: Vec3 = [b[0] - a[0], b[1] - a[1], 0];
  const to: Vec3 = [p[0] - a[0], p[1] - a[1], 0];
  const size = dot(along, along);
  const share = size > 0 ? Math.min(1, Math.max(0, dot(to, along) / size)) : 0;
  return length(subtract(to, scale(add(along, [0, 0, 0]), share)));
}
