import { describe, expect, it } from 'vitest';
import { angleBetween, arcPoints, circlePoints, directionOf, rotate, rotateBack } from './arcs';
import { FlatScene } from './flat';
import { pointAlong } from './overlay';
import { hull } from './picture';
import { sampleField, sampleGap, samplePose, sampleShape, type SampleOptions } from './sample';
import { jointDirection, sideJoints, toolDirection } from './state';
import type { SceneJoint, Vec3 } from './types';

const DEGREE = Math.PI / 180;
const OPTIONS: SampleOptions = {
  stages: 2,
  arc: 23.5 * DEGREE,
  half: 42 * DEGREE,
  swing: -20 * DEGREE,
};

/** A scene that is never put on a page: everything but `draw` works without one. */
function sceneOf(options = OPTIONS): FlatScene {
  const scene = new FlatScene({ replaceChildren: () => undefined } as unknown as SVGSVGElement);
  scene.resize(1280, 520, 1);
  scene.setShape(sampleShape(options));
  scene.setPose(samplePose(options));
  return scene;
}

describe('sample', () => {
  it('closes its loops and reaches tan(θ/2m) = tan β · cos α', () => {
    expect(sampleGap(OPTIONS)).toBeLessThan(1e-12);
    const shape = sampleShape(OPTIONS);
    const pose = samplePose(OPTIONS);
    const apex = shape.joints.at(-1) as SceneJoint;
    const polar = angleBetween(jointDirection(shape, pose, apex) as Vec3, [0, 0, 1]);
    const expected = 4 * Math.atan(Math.tan(OPTIONS.arc) * Math.cos(OPTIONS.half));
    expect(polar).toBeCloseTo(expected, 12);
  });
});

describe('the ring of the tool', () => {
  const shape = sampleShape(OPTIONS);
  const sizes = {
    'as it is': shape,
    'a larger sphere': { ...shape, jointRadius: 1.3 * shape.jointRadius },
    'a mass further out': {
      ...shape,
      tool: { ...shape.tool, massRadius: 1.5 * shape.jointRadius },
    },
    'a tip further in': { ...shape, tool: { ...shape.tool, tipRadius: 0.4 * shape.jointRadius } },
    'a tip outside the bars': {
      ...shape,
      tool: { ...shape.tool, tipRadius: 1.8 * shape.jointRadius },
    },
  };
  for (const [name, changed] of Object.entries(sizes)) {
    it(`lies at the end of the tool, with ${name}`, () => {
      const scene = sceneOf();
      // So large that no joint lies within reach of a finger.
      scene.resize(6400, 2600, 1);
      scene.setShape(changed);
      const tool = toolDirection(changed, samplePose(OPTIONS));
      const [x, y] = scene.screenOf(tool, scene.toolRadius());
      const [cx, cy] = scene.screenOf(tool, 0.9 * scene.toolRadius());
      const size = Math.hypot(x - cx, y - cy);
      const at = (pixels: number) =>
        scene.pick(x + ((x - cx) / size) * pixels, y + ((y - cy) / size) * pixels)?.kind;
      expect(at(0)).toBe('tool');
      expect(at(-4)).toBe('tool');
      // Nothing of the tool lies beyond its end but what a finger may miss by.
      expect(at(14)).not.toBe('tool');
    });
  }
});

describe('arcs', () => {
  it('has points at equal angles, ends included, and turns back what it turns', () => {
    const [a, b] = [directionOf(0.3, 1), directionOf(1.2, -2)];
    const points = arcPoints(a, b, 0.1);
    expect(angleBetween(points[0] as Vec3, a)).toBeLessThan(1e-7);
    expect(angleBetween(points.at(-1) as Vec3, b)).toBeLessThan(1e-7);
    const steps = points.slice(1).map((p, i) => angleBetween(p, points[i] as Vec3));
    expect(Math.max(...steps) - Math.min(...steps)).toBeLessThan(1e-7);
    expect(Math.max(...steps)).toBeLessThanOrEqual(0.1);
    const turn = samplePose(OPTIONS).rotations[3] as number[];
    expect(angleBetween(rotateBack(turn, rotate(turn, a)), a)).toBeLessThan(1e-7);
    for (const p of circlePoints(a, 0.4, 12)) expect(angleBetween(p, a)).toBeCloseTo(0.4, 9);
  });

  it('finds points of a path at broken indices', () => {
    const path: Vec3[] = [
      [0, 0, 1],
      [2, 0, 1],
    ];
    expect(pointAlong(path, 0.25)).toEqual([0.5, 0, 1]);
    expect(pointAlong(path, 1)).toEqual([2, 0, 1]);
  });

  it('has the convex hull of points', () => {
    const square = hull([
      [0, 0],
      [2, 0],
      [1, 1],
      [2, 2],
      [0, 2],
    ]);
    expect(square).toHaveLength(4);
    expect(square).not.toContainEqual([1, 1]);
  });
});

describe('picking', () => {
  const scene = sceneOf();
  const shape = sampleShape(OPTIONS);
  const pose = samplePose(OPTIONS);

  it('finds a handle under the pointer, and the dome beside it', () => {
    const index = shape.joints.findIndex((joint) => joint.name === 'side right 1');
    const direction = jointDirection(shape, pose, shape.joints[index] as SceneJoint) as Vec3;
    const [x, y] = scene.screenOf(direction, shape.jointRadius);
    const hit = scene.pick(x + 3, y - 4);
    expect(hit).toMatchObject({ kind: 'joint', joint: index });
    expect(scene.pick(x - 90, y + 60)?.kind).toBe('dome');
    expect(scene.pick(3, 3)).toBeNull();
  });

  it('finds the tool by its shaft outside the bars', () => {
    const direction = jointDirection(shape, pose, shape.joints.at(-1) as SceneJoint) as Vec3;
    const [x, y] = scene.screenOf(direction, 184);
    expect(scene.pick(x, y)?.kind).toBe('tool');
  });

  it('does not find what lies behind the dome', () => {
    const index = shape.joints.findIndex((joint) => joint.name === 'side right 1');
    const direction = jointDirection(shape, pose, shape.joints[index] as SceneJoint) as Vec3;
    const view = scene.view();
    scene.setView({ ...view, elevation: 0.05, azimuth: Math.atan2(-direction[1], -direction[0]) });
    const [x, y] = scene.screenOf(direction, shape.jointRadius);
    expect(scene.pick(x, y)?.kind).not.toBe('joint');
    scene.setView(view);
  });

  it('gives directions back that fall where the pointer is', () => {
    const direction = directionOf(50 * DEGREE, -1.1);
    const radius = 146.25;
    const [x, y] = scene.screenOf(direction, radius);
    const found = scene.directionAt(x, y) as Vec3;
    expect(angleBetween(found, direction)).toBeLessThan(1e-6);
    // Beside the dome: a unit vector on the silhouette, whose place is on the way to the pointer.
    const edge = scene.directionAt(1270, 300) as Vec3;
    expect(Math.hypot(...edge)).toBeCloseTo(1, 12);
    expect(scene.screenOf(edge, radius)[0]).toBeGreaterThan(640);
  });

  it('keeps the view short of the poles', () => {
    scene.setView({ azimuth: 1, elevation: 9, zoom: 1 });
    expect(scene.view().elevation).toBeLessThan(Math.PI / 2);
  });

  it('names the side joints of a stage', () => {
    const names = (stage: number): (string | undefined)[] =>
      sideJoints(shape, stage).map((index) => shape.joints[index]?.name);
    expect(names(0)).toEqual(['side left 1', 'side right 1']);
    expect(names(1)).toEqual(['side a 2', 'side b 2']);
    expect(names(2)).toEqual([]);
  });
});

describe('SVG', () => {
  it('holds everything that is shown, escaped, without references outwards', () => {
    const scene = sceneOf();
    scene.setField(sampleField(6, 1.5));
    scene.setLoad({ at: [0, 60, 90], force: [0, -3, -5], label: 'press <8 N> & "more"' });
    scene.setPath([directionOf(0.4, -1), directionOf(0.7, -0.6), directionOf(0.9, -1)], 1.5);
    scene.setMargin({ stage: 0, share: 0.3 });
    scene.setOther(sampleShape({ ...OPTIONS, swing: 0 }), samplePose({ ...OPTIONS, swing: -0.8 }));
    scene.setZones([
      { kind: 'type-1', name: 'axis', outlines: [circlePoints([0, 0, 1], 0.2, 24)] },
      { kind: 'type-2', name: 'rim', outlines: [], bands: [{ polarFrom: 1.3, polarTo: 1.4 }] },
    ]);
    const text = scene.svg();
    expect(text.slice(0, 39)).toBe('<svg xmlns="http://www.w3.org/2000/svg"');
    const roles = new Set([...text.matchAll(/class="([^"]*)"/g)].map((match) => match[1]));
    const wanted = ['bar', 'dome', 'boss', 'pin', 'tool', 'handle', 'load', 'path here', 'margin'];
    wanted.push('other', 'zone type-1', 'zone type-2', 'excluded', 'gravity', 'support');
    expect(wanted.filter((role) => !roles.has(role))).toEqual([]);
    expect(text.match(/press [^<]*/)?.[0]).toBe('press &lt;8 N&gt; &amp; &quot;more&quot;');
    expect(text.match(/NaN|Infinity|undefined|href|style=|d=""/)).toBeNull();
  });

  it('is the same for the same state, and differs between themes', () => {
    const [a, b] = [sceneOf(), sceneOf()];
    expect(a.svg() === b.svg()).toBe(true);
    b.setTheme(true);
    expect(a.svg() === b.svg()).toBe(false);
    expect(b.svg().includes('#15191c')).toBe(true);
  });
});
