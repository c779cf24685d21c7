/** The parts of a built design with WebGL: uploaded once, moved by their matrices alone. */
import * as THREE from 'three';
import { scale, unit } from './arcs';
import { creases, enlargements } from './built';
import { MeshBuilder, addCylinder, toolSpan } from './geometry';
import * as small from './glparts';
import { bodyColour, mix, type Palette } from './palette';
import { rotationOf, tintOf, type Shown } from './state';
import type { ScenePart, SceneShape, Vec3 } from './types';

/** One part as drawn. */
interface Drawn {
  part: ScenePart;
  frame: THREE.Group;
  material: THREE.MeshPhongMaterial;
  outline: THREE.LineSegments;
  edges: THREE.LineBasicMaterial;
  /** Whether it is brought out. */
  marked: boolean;
}

/** Rooms that others must keep out of: seen through. */
const isRoom = (part: ScenePart): boolean => part.kind === 'housing' || part.kind === 'tool';

/** Colour of a part, tinted by its body's share where it is a bar. */
export function partColour(colours: Palette, shown: Shown, part: ScenePart): string {
  if (shown.marked.includes(part.name)) return colours.danger;
  const body = shown.shape?.bodies[part.body];
  switch (part.kind) {
    case 'bar':
      return body
        ? bodyColour(colours, body, part.body, tintOf(shown)?.[part.body])
        : colours.ground;
    case 'pin':
    case 'shaft':
      // A little lighter than where they are only ends in bosses: they stand against the paper.
      return mix(colours.pin, colours.boss, 0.28);
    case 'spacer':
      return mix(colours.pin, colours.boss, 0.6);
    case 'housing':
      return colours.ground;
    case 'tool':
      return colours.tool;
  }
}

export class BuiltParts {
  readonly group = small.frame();
  /** The tip's cone and its shaft as far as the bars: signs, not parts. */
  private readonly tool = small.frame();
  private drawn: Drawn[] = [];

  /** Makes everything anew. */
  build(shown: Shown, colours: Palette): void {
    small.clear(this.group);
    this.group.add(this.tool);
    small.clear(this.tool);
    this.drawn = (shown.parts?.parts ?? []).map((part) => this.add(part, colours));
    if (shown.shape) this.addTool(shown.shape, colours);
  }

  /** The parts that lie on the graphics card, in their order. */
  list(): { name: string; kind: ScenePart['kind']; marked: boolean }[] {
    return this.drawn.map(({ part: { name, kind }, marked }) => ({ name, kind, marked }));
  }

  private add(part: ScenePart, colours: Palette): Drawn {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute('position', new THREE.BufferAttribute(part.positions, 3));
    geometry.setIndex(new THREE.BufferAttribute(part.triangles, 1));
    geometry.computeBoundingSphere();
    const room = isRoom(part);
    const material = new THREE.MeshPhongMaterial({
      specular: '#2a2a2a',
      shininess: 28,
      flatShading: true,
      // Behind their own edges, and behind faces that they touch.
      polygonOffset: true,
      polygonOffsetFactor: room ? 2 : 1,
      polygonOffsetUnits: room ? 2 : 1,
      transparent: room,
      opacity: room ? 0.22 : 1,
      depthWrite: !room,
    });
    const frame = small.frame();
    const mesh = new THREE.Mesh(geometry, material);
    if (room) mesh.renderOrder = small.ORDER.other;
    const lines = new THREE.BufferGeometry();
    const ends = creases(part.positions, part.triangles);
    lines.setAttribute('position', new THREE.BufferAttribute(ends, 3));
    const edges = new THREE.LineBasicMaterial({
      color: room ? colours.soft : colours.edge,
      transparent: room,
      opacity: room ? 0.7 : 1,
    });
    const outline = new THREE.LineSegments(lines, edges);
    frame.add(mesh, outline);
    this.group.add(frame);
    return { part, frame, material, outline, edges, marked: false };
  }

  private addTool(shape: SceneShape, colours: Palette): void {
    const direction = unit(shape.tool.direction);
    const { tip, cone, shaftDiameter } = toolSpan(shape);
    const face = shape.places?.innerFace ?? shape.jointRadius;
    const at = (radius: number): Vec3 => scale(direction, radius);
    const builder = new MeshBuilder();
    const r = shaftDiameter / 2;
    if (cone < face) addCylinder(builder, at(face), at(cone), r, r);
    addCylinder(builder, at(cone), at(tip), 1.25 * r, 0);
    const material = new THREE.MeshPhongMaterial({ color: colours.tool, shininess: 28 });
    this.tool.add(new THREE.Mesh(small.geometryOf(builder.arrays()), material));
  }

  /** Moves everything to a pose. */
  place(shown: Shown): void {
    const { shape, parts, pose, drawn } = shown;
    if (!shape || !parts) return;
    const factors = enlargements(parts, drawn.apart);
    this.drawn.forEach(({ part, frame }, index) =>
      small.setRotation(frame, rotationOf(pose, part.body), factors[index]),
    );
    small.setRotation(this.tool, rotationOf(pose, shape.tool.body));
  }

  colour(shown: Shown, colours: Palette): void {
    for (const one of this.drawn) {
      const { part, material, outline, edges } = one;
      const marked = shown.marked.includes(part.name);
      one.marked = marked;
      material.color.set(partColour(colours, shown, part));
      material.opacity = isRoom(part) ? (marked ? 0.5 : 0.22) : 1;
      edges.color.set(marked ? colours.danger : isRoom(part) ? colours.soft : colours.edge);
      // Seen through whatever lies before them.
      edges.depthTest = !marked;
      outline.renderOrder = marked ? small.ORDER.other + 1 : 0;
      edges.transparent = marked || isRoom(part);
    }
  }
}
