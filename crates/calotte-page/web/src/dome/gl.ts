/** The drawing with WebGL. */
import * as THREE from 'three';
import { add, scale, unit } from './arcs';
import { domeExtent, domeMesh, domeRadius } from './dome';
import { graticule } from './cells';
import { picture } from './drawing';
import { MeshBuilder, addBall, addBar, bodyMesh, bracket, jointSizes } from './geometry';
import { supportSizes, toolMesh, toolSpan } from './geometry';
import { BuiltParts } from './glbuilt';
import * as parts from './glparts';
import { overlay } from './overlay';
import { bodyColour, branchOf } from './palette';
import { documentOf, paint } from './picture';
import { Camera } from './project';
import { SceneBase, jointDirection, rotationOf, tintOf, type Part } from './state';
import type { SceneParts, SceneShape, ScenePose, SceneZone, Vec3 } from './types';
import { ZONE_ORDER, zoneFills, zoneLines, zoneStyle } from './zones';

/**
 * Crossing bars lie on one sphere. So that both do not show through each other where they meet, the
 * left ones are drawn smaller by this: 0.3 mm in 150 mm, not to be seen and no layer of the design.
 */
const BELOW = 0.998;

/** What has to be made anew for each change. */
const REBUILD: { parts: Part[]; make: (scene: GlScene) => void }[] = [
  { parts: ['shape', 'theme'], make: (scene) => scene.buildBodies() },
  { parts: ['shape', 'parts', 'theme'], make: (scene) => scene.buildParts() },
  { parts: ['other', 'theme'], make: (scene) => scene.buildOther() },
  { parts: ['shape', 'field', 'theme'], make: (scene) => scene.buildDome() },
  { parts: ['shape', 'field', 'zones', 'theme'], make: (scene) => scene.buildZones() },
  { parts: ['shape', 'theme', 'tint', 'deflected', 'marked'], make: (scene) => scene.applyTint() },
  { parts: ['shape', 'theme', 'pose', 'drawn'], make: (scene) => scene.applyPose() },
  { parts: ['other', 'theme', 'other-pose'], make: (scene) => scene.applyOtherPose() },
];

/** Instances of one kind of cylinder, one for each joint. */
interface Cylinders {
  mesh: THREE.InstancedMesh;
  joints: number[];
  diameter: number;
  height: number;
  /** Outward shift of the middle from the sphere of the joints, mm. */
  shift: number;
}

export class GlScene extends SceneBase {
  readonly slow: boolean;
  private readonly gl: WebGL2RenderingContext;
  private fence: WebGLSync | null = null;
  private readonly renderer: THREE.WebGLRenderer;
  private readonly scene = new THREE.Scene();
  private readonly eye = new THREE.PerspectiveCamera();
  private readonly root = parts.frame();
  private readonly bodies = parts.frame();
  private readonly tool = parts.frame();
  private readonly others = parts.frame();
  private readonly builtParts = new BuiltParts();
  private readonly dome = parts.frame();
  private readonly zones = parts.frame();
  private readonly sky = new THREE.HemisphereLight('#ffffff', '#b9b2a6', 2.3);
  private readonly lamp = new THREE.DirectionalLight('#ffffff', 1.5);
  private readonly sheet = document.createElement('canvas');
  /** Below the sheet: a measured prototype, which does not move with the pose. */
  private readonly rows = document.createElement('canvas');
  private bodyFrames: THREE.Group[] = [];
  private bodyMaterials: THREE.MeshPhongMaterial[] = [];
  private otherFrames: THREE.Group[] = [];
  private cylinders: Cylinders[] = [];
  private readonly matrix = new THREE.Matrix4();
  private spent = 0;
  /** The parts that lie ready on the graphics card. */
  private uploaded: SceneParts | null = null;
  private readonly restored = (): void => {
    this.stale.add('theme');
    this.draw();
  };

  /** Fails where the browser gives no WebGL. */
  constructor(private readonly canvas: HTMLCanvasElement) {
    super(new Camera(true));
    // Asked for here rather than by the library, which writes to the console where there is none.
    const slow = drawsBySoftware();
    const context = canvas.getContext('webgl2', {
      // The blending of marks would else make the canvas itself translucent.
      alpha: false,
      antialias: !slow,
      preserveDrawingBuffer: true,
    });
    if (!context) throw new Error('no webgl2 context');
    this.slow = slow;
    this.gl = context;
    this.renderer = new THREE.WebGLRenderer({ canvas, context });
    this.renderer.toneMapping = THREE.NoToneMapping;
    // Lines and words lie on a canvas of their own above: as a texture they would be carried to
    // the graphics memory with every drawing.
    for (const layer of [this.rows, this.sheet]) {
      Object.assign(layer.style, {
        position: 'absolute',
        inset: '0',
        width: '100%',
        height: '100%',
        pointerEvents: 'none',
      });
      layer.setAttribute('aria-hidden', 'true');
    }
    this.rows.style.display = 'none';
    canvas.after(this.rows, this.sheet);
    this.eye.matrixAutoUpdate = false;
    this.scene.add(this.root, this.sky, this.lamp, this.lamp.target);
    const { group } = this.builtParts;
    this.root.add(this.dome, this.zones, this.bodies, group, this.tool, this.others);
    canvas.addEventListener('webglcontextrestored', this.restored);
  }

  protected override get drawsParts(): boolean {
    return true;
  }

  buildBodies(): void {
    const { shape } = this.shown;
    parts.clear(this.bodies);
    parts.clear(this.tool);
    this.bodyFrames = [];
    this.bodyMaterials = [];
    this.cylinders = [];
    if (!shape) return;
    parts.setRotation(this.root, shape.worldFromBase);
    if (this.built) return;
    shape.bodies.forEach((body, index) => {
      const group = parts.frame();
      const material = this.metal(bodyColour(this.colours, body, index));
      // Behind their own edges.
      material.polygonOffset = true;
      material.polygonOffsetFactor = 1;
      material.polygonOffsetUnits = 1;
      this.bodyMaterials.push(material);
      this.bodyFrames.push(group);
      this.bodies.add(group);
      if (body.arcs.length === 0) return;
      const arrays = bodyMesh(shape, body);
      group.add(new THREE.Mesh(parts.geometryOf(arrays), material));
      this.addEdges(group, parts.edgeGeometryOf(arrays));
    });
    this.buildJoints(shape);
    this.buildTool(shape);
  }

  /** Uploaded when parts are first drawn, and kept while the other drawing is shown. */
  buildParts(): void {
    const { shown, built } = this;
    this.builtParts.group.visible = built;
    const gone = this.uploaded !== shown.parts;
    if (!gone && !this.stale.has('theme')) return;
    if (!gone && this.uploaded === null) return;
    this.uploaded = built ? shown.parts : null;
    this.builtParts.build({ ...shown, parts: this.uploaded }, this.colours);
  }

  private metal(colour: string): THREE.MeshPhongMaterial {
    return new THREE.MeshPhongMaterial({ color: colour, specular: '#2a2a2a', shininess: 28 });
  }

  /** Edges as seen, and faint where something lies before them. */
  private addEdges(group: THREE.Group, geometry: THREE.BufferGeometry): void {
    const seen = new THREE.LineBasicMaterial({ color: this.colours.edge });
    group.add(new THREE.LineSegments(geometry, seen));
    const unseen = new THREE.LineBasicMaterial({
      color: this.colours.ink,
      opacity: 0.2,
      depthWrite: false,
      depthFunc: THREE.GreaterDepth,
      // Blended, yet among the opaque objects: after the dome, before the bars.
      blending: THREE.CustomBlending,
    });
    const ghost = new THREE.LineSegments(geometry, unseen);
    ghost.renderOrder = parts.ORDER.ghost;
    group.add(ghost);
  }

  private buildJoints(shape: SceneShape): void {
    const size = jointSizes(shape);
    const { boss, pin, grip, ground } = this.colours;
    const all = shape.joints.map((_, i) => i);
    const only = (test: (i: number) => boolean): number[] => all.filter(test);
    const isHandle = (i: number): boolean => shape.joints[i]?.handle === true;
    const { pinDiameter, pinHeight, bossDiameter, bossHeight } = size;
    const base = only((i) => shape.joints[i]?.kind === 'base');
    if (bossDiameter > 0) this.addCylinders(all, bossDiameter, bossHeight, 0, boss);
    this.addCylinders(
      only((i) => !isHandle(i)),
      pinDiameter,
      pinHeight,
      0,
      pin,
    );
    this.addCylinders(only(isHandle), 1.02 * pinDiameter, 1.02 * pinHeight, 0, grip);
    const support = supportSizes(shape);
    const { from, plate, to } = support;
    this.addCylinders(base, support.stubDiameter, plate - from, (plate - from) / 2, ground);
    this.addCylinders(base, support.plateDiameter, to - plate, (plate + to) / 2 - from, ground);
  }

  private addCylinders(
    joints: number[],
    diameter: number,
    height: number,
    shift: number,
    colour: string,
  ): void {
    if (joints.length === 0) return;
    const shape = new THREE.CylinderGeometry(1, 1, 1, 32).rotateX(Math.PI / 2);
    const mesh = new THREE.InstancedMesh(shape, this.metal(colour), joints.length);
    mesh.frustumCulled = false;
    this.bodies.add(mesh);
    this.cylinders.push({ mesh, joints, diameter, height, shift });
  }

  private buildTool(shape: SceneShape): void {
    const direction = unit(shape.tool.direction);
    const span = toolSpan(shape);
    const arrays = toolMesh(shape, direction);
    this.tool.add(new THREE.Mesh(parts.geometryOf(arrays), this.metal(this.colours.tool)));
    const knob = new MeshBuilder();
    addBall(knob, scale(direction, span.end), 0.95 * span.shaftDiameter);
    this.tool.add(new THREE.Mesh(parts.geometryOf(knob.arrays()), this.metal(this.colours.grip)));
    this.tool.add(this.massMark(scale(direction, span.mass), span.shaftDiameter));
    const arm = bracket(shape);
    if (!arm) return;
    const strut = new MeshBuilder();
    const outer = 0.7 * span.shaftDiameter;
    addBar(strut, arm.from, arm.to, shape.jointRadius, { kind: 'round', outer, inner: null });
    const geometry = parts.geometryOf(strut.arrays());
    this.tool.add(new THREE.Mesh(geometry, this.metal(this.colours.tool)));
  }

  /** A ball in light and dark quarters: the sign for a centre of mass. */
  private massMark(centre: Vec3, radius: number): THREE.Mesh {
    const builder = new MeshBuilder();
    addBall(builder, [0, 0, 0], radius, 16);
    const plain = parts.geometryOf(builder.arrays());
    const geometry = plain.toNonIndexed();
    plain.dispose();
    const position = geometry.getAttribute('position');
    const shades: number[] = [];
    for (let i = 0; i < position.count; i += 3) {
      const middle = (get: (k: number) => number): number => get(i) + get(i + 1) + get(i + 2);
      const x = middle((k) => position.getX(k));
      const y = middle((k) => position.getY(k));
      const z = middle((k) => position.getZ(k));
      const shade = x * y * z > 0 ? 0.02 : 0.92;
      for (let k = 0; k < 9; k += 1) shades.push(shade);
    }
    geometry.setAttribute('color', new THREE.BufferAttribute(new Float32Array(shades), 3));
    const material = this.metal('#ffffff');
    material.vertexColors = true;
    const mesh = new THREE.Mesh(geometry, material);
    mesh.position.set(...centre);
    return mesh;
  }

  buildOther(): void {
    const shape = this.shown.other;
    parts.clear(this.others);
    this.otherFrames = [];
    for (const body of shape?.bodies ?? []) {
      const group = parts.frame();
      this.otherFrames.push(group);
      this.others.add(group);
      if (!shape || body.arcs.length === 0) continue;
      // Without bosses of its own its bars run on to the joints.
      const arrays = bodyMesh({ ...shape, bossDiameter: 0 }, body);
      const fill = new THREE.MeshBasicMaterial({
        color: this.colours.second,
        transparent: true,
        opacity: 0.34,
        depthWrite: false,
      });
      const mesh = new THREE.Mesh(parts.geometryOf(arrays), fill);
      mesh.renderOrder = parts.ORDER.other;
      const line = new THREE.LineBasicMaterial({ color: this.colours.second });
      const edges = new THREE.LineSegments(parts.edgeGeometryOf(arrays), line);
      edges.renderOrder = parts.ORDER.other;
      group.add(mesh, edges);
    }
  }

  buildDome(): void {
    const { shape, field } = this.shown;
    parts.clear(this.dome);
    if (!shape) return;
    const radius = domeRadius(shape, field);
    this.dome.add(
      field
        ? domeMesh(field, radius, this.colours, this.pixelRatio)
        : parts.plainDome(radius, domeExtent(null), this.colours.dome),
    );
    this.dome.children.forEach((mesh) => (mesh.renderOrder = parts.ORDER.dome));
    const raised = graticule(domeExtent(field)).map((line) =>
      line.map((point) => scale(point, 1.0025 * radius)),
    );
    const lines = parts.thinLines(raised, this.colours.ink, field ? 0.2 : 0.22);
    lines.renderOrder = 1;
    this.dome.add(lines);
  }

  buildZones(): void {
    const { shape, field, zones } = this.shown;
    parts.clear(this.zones);
    if (!shape) return;
    const radius = domeRadius(shape, field);
    for (const kind of ZONE_ORDER) {
      const chosen = zones.filter((zone) => zone.kind === kind);
      if (chosen.length > 0) this.addZones(kind, chosen, radius);
    }
  }

  private addZones(kind: SceneZone['kind'], zones: SceneZone[], radius: number): void {
    const style = zoneStyle(kind, this.colours);
    const raised = (line: Vec3[]): Vec3[] => line.map((point) => scale(point, 1.006 * radius));
    const lines = zones.flatMap(zoneLines).map(raised);
    const pen: parts.Pen = {
      colour: style.stroke,
      width: style.width,
      millimetresPerPixel: 1 / this.camera.pixelsPerMm([0, 0, 0]),
      halo: { colour: this.colours.paper, width: 1.2 },
    };
    if (style.dash) pen.dash = style.dash;
    this.zones.add(...parts.wideLines(lines, pen));
    if (style.fill === 'none') return;
    const builder = new MeshBuilder();
    for (const zone of zones) {
      zoneFills(zone).forEach((line) => parts.addPatch(builder, line, 1.003 * radius));
      for (const { polarFrom, polarTo } of zone.bands ?? []) {
        parts.addBand(builder, polarFrom, polarTo, 1.003 * radius);
      }
    }
    const arrays = builder.arrays();
    if (arrays.indices.length === 0) return;
    const colour = style.fill === 'dim' ? this.colours.noValue : style.stroke;
    const material = parts.zoneMaterial(colour, style.fill, this.pixelRatio);
    const mesh = new THREE.Mesh(parts.geometryOf(arrays), material);
    mesh.renderOrder = parts.ORDER.fill;
    this.zones.add(mesh);
  }

  applyTint(): void {
    const { shape } = this.shown;
    const tint = tintOf(this.shown);
    shape?.bodies.forEach((body, index) => {
      this.bodyMaterials[index]?.color.set(bodyColour(this.colours, body, index, tint?.[index]));
    });
    if (this.built) this.builtParts.colour(this.shown, this.colours);
  }

  applyPose(): void {
    const { shape, pose } = this.shown;
    if (!shape) return;
    if (this.built) this.builtParts.place(this.shown);
    this.bodyFrames.forEach((group, index) => {
      const body = shape.bodies[index];
      const below = body !== undefined && branchOf(body, index) === 'left';
      parts.setRotation(group, rotationOf(pose, index), below ? BELOW : 1);
    });
    parts.setRotation(this.tool, rotationOf(pose, shape.tool.body));
    for (const set of this.cylinders) this.placeCylinders(shape, pose, set);
  }

  private placeCylinders(shape: SceneShape, pose: ScenePose | null, set: Cylinders): void {
    set.joints.forEach((index, place) => {
      const joint = shape.joints[index];
      const direction = joint ? jointDirection(shape, pose, joint) : null;
      const radius = shape.jointRadius + set.shift;
      const { diameter, height } = set;
      if (direction) parts.cylinderMatrix(this.matrix, direction, radius, diameter, height);
      else this.matrix.makeScale(0, 0, 0);
      set.mesh.setMatrixAt(place, this.matrix);
    });
    set.mesh.instanceMatrix.needsUpdate = true;
  }

  applyOtherPose(): void {
    this.otherFrames.forEach((group, index) =>
      parts.setRotation(group, rotationOf(this.shown.otherPose, index)),
    );
  }

  private applyView(): void {
    const { camera, renderer, pixelRatio } = this;
    const size = renderer.getSize(new THREE.Vector2());
    if (
      size.x !== camera.width ||
      size.y !== camera.height ||
      renderer.getPixelRatio() !== pixelRatio
    ) {
      renderer.setPixelRatio(pixelRatio);
      renderer.setSize(camera.width, camera.height, false);
      this.sheet.width = Math.floor(camera.width * pixelRatio);
      this.sheet.height = Math.floor(camera.height * pixelRatio);
    }
    const { right, up, back } = camera;
    const at = scale(back, camera.distance);
    this.eye.matrix.set(
      ...([right[0], up[0], back[0], at[0]] as const),
      ...([right[1], up[1], back[1], at[1]] as const),
      ...([right[2], up[2], back[2], at[2]] as const),
      ...([0, 0, 0, 1] as const),
    );
    this.eye.matrixWorldNeedsUpdate = true;
    this.eye.projectionMatrix.fromArray(camera.projectionMatrix());
    this.eye.projectionMatrixInverse.copy(this.eye.projectionMatrix).invert();
    // Light from over the reader's left shoulder.
    const lamp = add(add(scale(right, -0.5), scale(up, 0.75)), scale(back, 0.9));
    this.lamp.position.set(...scale(lamp, camera.distance));
    for (const group of [this.dome, this.zones]) {
      group.traverse((object) => {
        const uniforms = (object as THREE.Mesh<THREE.BufferGeometry, THREE.ShaderMaterial>).material
          ?.uniforms;
        if (uniforms?.pixelRatio) uniforms.pixelRatio.value = pixelRatio;
      });
    }
  }

  private paintOverlay(): void {
    const context = this.sheet.getContext('2d');
    const { sight } = this;
    if (!context) return;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, this.sheet.width, this.sheet.height);
    context.setTransform(this.pixelRatio, 0, 0, this.pixelRatio, 0, 0);
    if (sight) paint(context, overlay(sight));
  }

  private paintMeasured(): void {
    const { items, changed } = this.measuredMarks();
    if (!changed) return;
    this.rows.style.display = items.length === 0 ? 'none' : 'block';
    if (items.length === 0) return;
    // Setting the size clears the canvas.
    this.rows.width = this.sheet.width;
    this.rows.height = this.sheet.height;
    const context = this.rows.getContext('2d');
    context?.setTransform(this.pixelRatio, 0, 0, this.pixelRatio, 0, 0);
    if (context) paint(context, items);
  }

  protected render(): void {
    const began = performance.now();
    for (const { parts: needed, make } of REBUILD) {
      if (needed.some((part) => this.stale.has(part))) make(this);
    }
    this.spent = performance.now() - began;
    if (this.stale.has('view') || this.stale.has('theme')) {
      this.applyView();
      this.renderer.setClearColor(this.colours.paper);
    } else if (this.stale.has('field') || this.stale.has('shape')) this.applyView();
    this.paintMeasured();
    this.paintOverlay();
    this.renderer.render(this.scene, this.eye);
    this.fence = this.gl.fenceSync(this.gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    this.gl.flush();
  }

  busy(): boolean {
    if (!this.fence) return false;
    const state = this.gl.getSyncParameter(this.fence, this.gl.SYNC_STATUS);
    if (state !== this.gl.SIGNALED && !this.gl.isContextLost()) return true;
    this.gl.deleteSync(this.fence);
    this.fence = null;
    return false;
  }

  /** `vertexUpdateMs`: time that vertex arrays and matrices took before the last drawing. */
  statistics(): { drawCalls: number; triangles: number; vertexUpdateMs: number } {
    const { calls, triangles } = this.renderer.info.render;
    return { drawCalls: calls, triangles, vertexUpdateMs: this.spent };
  }

  override drawnParts(): ReturnType<BuiltParts['list']> {
    return this.built ? this.builtParts.list() : [];
  }

  svg(): string {
    const { shown, line } = this;
    const { shape } = shown;
    // The flat picture knows no parts: it shows the bars as one line, and says so.
    shown.shape = line;
    const items = this.sight ? picture(this.sight) : [];
    shown.shape = shape;
    items.push(...this.measuredMarks().items);
    return documentOf(items, this.camera.width, this.camera.height, this.colours.paper);
  }

  override dispose(): void {
    super.dispose();
    this.canvas.removeEventListener('webglcontextrestored', this.restored);
    parts.clear(this.scene);
    this.rows.remove();
    this.sheet.remove();
    this.renderer.dispose();
  }
}

/** Whether the browser's WebGL is software: asked of a context that is thrown away. */
function drawsBySoftware(): boolean {
  const context = document.createElement('canvas').getContext('webgl2');
  if (!context) return false;
  const more = context.getExtension('WEBGL_debug_renderer_info');
  const name = more ? String(context.getParameter(more.UNMASKED_RENDERER_WEBGL)) : '';
  context.getExtension('WEBGL_lose_context')?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software/i.test(name);
}
