/**
 * What the drawing of the dome is given and what it can do.
 *
 * Lengths are millimetres, angles radians, forces newtons. Vectors are in the base frame, except
 * the stations of a body and the direction of the tool, which are in the frame of their body. The
 * remote centre is the origin of every frame.
 */

/** Three components, x y z. */
export type Vec3 = [number, number, number];

/** Cross-section of the bars. All sizes in mm. `wall` or `inner` null: solid. */
export type SectionOutline =
  | { kind: 'rectangle'; tangential: number; radial: number; wall: number | null }
  | { kind: 'round'; outer: number; inner: number | null };

/** A rigid body: points on the unit sphere and the arcs of bar between them. */
export interface SceneBody {
  name: string;
  moving: boolean;
  /** Unit vectors in the frame of the body. */
  stations: Vec3[];
  /** Each arc is the shorter great circle between two stations, at the radius of the joints. */
  arcs: { from: number; to: number }[];
  /** Its own section; absent where it has that of the shape. */
  section?: SectionOutline;
}

/** A revolute joint whose axis passes through the remote centre and a station of a body. */
export interface SceneJoint {
  name: string;
  body: number;
  station: number;
  kind: 'base' | 'side' | 'apex' | 'tool';
  /** True if the joint is one the reader may drag. */
  handle: boolean;
}

/** Everything about a design that does not change with the pose. */
export interface SceneShape {
  /** Radius of the sphere on which the bars lie, mm. */
  jointRadius: number;
  section: SectionOutline;
  /** Diameter of the joint bosses, mm; 0: no boss, only a pin. */
  bossDiameter: number;
  bodies: SceneBody[];
  joints: SceneJoint[];
  /** Direction is a unit vector in the frame of the carrying body; radii in mm. */
  tool: { body: number; direction: Vec3; tipRadius: number; massRadius: number };
  /** Rotation that takes base components to world components, 3×3, row by row. */
  worldFromBase: number[];
  /** Where built parts are drawn; absent where bars are drawn as one line. */
  places?: ScenePlaces;
}

/** Radii at which built parts are drawn, mm. */
export interface ScenePlaces {
  /** Nothing of the linkage but its tool comes nearer to the remote centre. */
  innerFace: number;
  /** Bars and pins reach out to here. */
  outerFace: number;
  /** Everything reaches out to here, the housing on the base axis too. */
  top: number;
  /** Where the tool is taken hold of, beyond the bars that carry it. */
  toolEnd: number;
  /** Outer end of what is drawn at each joint. */
  joints: number[];
}

/** A part of a built design: a closed mesh in the frame of the body it moves with. */
export interface ScenePart {
  name: string;
  kind: 'bar' | 'pin' | 'spacer' | 'shaft' | 'housing' | 'tool';
  body: number;
  /** Name of the joint of a pin, spacer or shaft. */
  joint: string | null;
  /** The two bodies of that joint. */
  between: [number, number] | null;
  /** Least and greatest distance from the remote centre, mm. */
  radii: [number, number];
  /** Corners, mm, three numbers each. */
  positions: Float32Array;
  /** Three corners a triangle, by index, anticlockwise seen from outside. */
  triangles: Uint32Array;
}

/** The parts of a built design. */
export interface SceneParts {
  parts: ScenePart[];
  /** Distance of each body's centre line from the remote centre, mm. */
  bodyRadii: number[];
  /** Radial distance of neighbouring layers, mm. */
  pitch: number;
}

/** How the linkage is drawn. */
export interface SceneDrawn {
  /** Whether its parts are drawn, if there are any; else its bars as one line. */
  built: boolean;
  /** How far parts are drawn apart, 0 to 1. */
  apart: number;
}

/** Attitude of every body. */
export interface ScenePose {
  /** Per body the rotation that takes body components to base components, 3×3, row by row. */
  rotations: number[][];
}

/** A value over the sphere, on a grid of polar angle by azimuth about the base axis. */
export interface SceneField {
  /** Polar angles from the base axis +z, rad, ascending. */
  polar: number[];
  /** Azimuths from the base axis +x, rad, ascending. */
  azimuth: number[];
  /** One value a node, row by row (a row is one polar angle); null: no value. */
  values: (number | null)[];
  /**
   * One state a node: 0 covered, 1 outside the working range, 2 excluded, 3 outside the required
   * region.
   */
  state: number[];
  /** Value at the low end of the colour scale. */
  low: number;
  /** Value at the high end of the colour scale. */
  high: number;
  /** Radius of the surface of the dome, mm. */
  radius: number;
  /** Circular caps whose edges are drawn sharp, fragment by fragment. */
  caps: { axis: Vec3; cosHalfAngle: number; kind: 'excluded' | 'region' }[];
}

/** A part of the sphere to be marked. */
export interface SceneZone {
  kind: 'region' | 'excluded' | 'reach' | 'type-1' | 'type-2';
  name: string;
  /** Closed or open polylines of unit vectors. */
  outlines: Vec3[][];
  /** Filled bands about the base axis, polar angles in rad. */
  bands?: { polarFrom: number; polarTo: number }[];
}

/** A force at a point. */
export interface SceneLoad {
  /** Point of attack, mm. */
  at: Vec3;
  /** Force, N. */
  force: Vec3;
  label: string;
}

/** The shape under load. */
export interface SceneDeflected {
  /** Factor by which the displacement is to be drawn enlarged. */
  scale: number;
  /** Points of the centre lines and where the load takes them (not enlarged), mm. */
  arcs: { points: Vec3[]; moved: Vec3[] }[];
  tip: Vec3;
  tipMoved: Vec3;
  /** Share of the compliance at the tip, per body, 0 to 1. */
  shares: number[];
}

/** One measured configuration. */
export interface SceneMeasuredRow {
  /** Number in the file. */
  row: number;
  /** Where the design puts the tool for its readings: unit vector, base frame. */
  direction: Vec3;
  /** Measured less predicted, base frame, mm. */
  residual: Vec3;
  /** Its outward part, mm. */
  outward: number;
  /** Whether it is far off: drawn as a cross, without its residual. */
  off: boolean;
}

/** A measured prototype against the design or the fit. */
export interface SceneMeasured {
  rows: SceneMeasuredRow[];
  /** Factor by which residuals are drawn larger. */
  magnified: number;
  /** Outward part at either end of the colour scale, mm. */
  limit: number;
}

/** What lies under the pointer. */
export interface SceneHit {
  kind: 'dome' | 'tool' | 'joint';
  /** Index into the joints of the shape. */
  joint?: number;
  /** Base-frame unit vector of the point hit. */
  direction: Vec3;
}

/** The camera: azimuth and elevation in the world frame, rad; zoom 1 fits the dome. */
export interface SceneView {
  azimuth: number;
  elevation: number;
  zoom: number;
}

/** A joint or the tool in the hand. */
export interface SceneHold {
  /** Base-frame unit vector where it is asked to be when the hand is at a point of the canvas. */
  to(x: number, y: number): Vec3;
  /** To be told when the drawing is framed otherwise. */
  reframed(): void;
}

/** The drawing. Nothing is drawn before `draw`, which does nothing if nothing has changed. */
export interface Scene {
  setShape(shape: SceneShape): void;
  /** The parts of the shape that was set last; null where nothing is built. */
  setParts(parts: SceneParts | null): void;
  setDrawn(drawn: SceneDrawn): void;
  /** Brings out parts by name. */
  setMarked(names: readonly string[]): void;
  setPose(pose: ScenePose): void;
  /** The design compared with, drawn as an overlay in the colour of the second design. */
  setOther(shape: SceneShape | null, pose: ScenePose | null): void;
  setField(field: SceneField | null): void;
  setZones(zones: SceneZone[]): void;
  setLoad(load: SceneLoad | null): void;
  setDeflected(deflected: SceneDeflected | null): void;
  /** Tints each body by its share, 0 to 1. */
  setTint(shares: number[] | null): void;
  /** A path of base-frame unit vectors and how far along it we are, as an index (may be broken). */
  setPath(points: Vec3[], at: number | null): void;
  /**
   * Margin to type 2 singularity: the stage whose transmission angle closes (0 is at the base) and
   * the share of it left, 0 closed to 1 open.
   */
  setMargin(margin: { stage: number; share: number } | null): void;
  /** A measured prototype; null where none is shown. Nothing of it is done anew for a pose. */
  setMeasured(measured: SceneMeasured | null): void;
  /** Directions to be measured, in their order; none: no plan is shown. */
  setPlanned(stops: Vec3[]): void;
  /** Brings out a measured row by its number. */
  setMarkedRow(row: number | null): void;
  /** Number of the measured row drawn at a point of the canvas. */
  rowAt(x: number, y: number): number | null;
  setTheme(dark: boolean): void;
  /** What lies at a point of the canvas, in CSS pixels from its top left corner. */
  pick(x: number, y: number): SceneHit | null;
  /**
   * Base-frame unit vector where the ray through a point of the canvas meets the sphere of the
   * dome, or of the point of its silhouette that is nearest to the ray.
   */
  directionAt(x: number, y: number): Vec3 | null;
  /** Takes a joint, by its index, or the tool (null) into the hand at a point of the canvas. */
  hold(joint: number | null, x: number, y: number): SceneHold | null;
  /** Called whenever what is drawn comes to lie elsewhere on the canvas without having moved. */
  onframed: (() => void) | null;
  /** Radius at which the handle of a joint is drawn, mm. */
  jointRadius(joint: number): number;
  /** Radius at which the handle of the tool is drawn, mm. */
  toolRadius(): number;
  /** CSS pixels of the point at a radius (mm) along a base-frame direction. */
  screenOf(direction: Vec3, radius: number): [number, number];
  view(): SceneView;
  setView(view: SceneView): void;
  /** Size of the drawing in CSS pixels, and device pixels per CSS pixel. */
  resize(width: number, height: number, pixelRatio: number): void;
  draw(): void;
  /** Whether the last drawing is still on its way to the screen; another one would queue. */
  busy(): boolean;
  /** Whether everything that was set is on the screen. */
  drawn(): boolean;
  /** Whether the browser draws by software: fewer pixels while something moves. */
  readonly slow: boolean;
  statistics(): { drawCalls: number; triangles: number; vertexUpdateMs: number };
  /** The parts as they are drawn; none while bars are drawn as one line. */
  drawnParts(): { name: string; kind: ScenePart['kind']; marked: boolean }[];
  /** A self-contained SVG document of the present view. */
  svg(): string;
  dispose(): void;
}
