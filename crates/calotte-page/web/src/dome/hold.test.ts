import { describe, expect, it } from 'vitest';
import { angleBetween } from './arcs';
import { FlatScene } from './flat';
import { sampleField, samplePose, sampleShape, type SampleOptions } from './sample';
import { jointDirection, toolDirection } from './state';
import type { Vec3 } from './types';

const DEGREE = Math.PI / 180;
const OPTIONS: SampleOptions = {
  stages: 2,
  arc: 23.5 * DEGREE,
  half: 42 * DEGREE,
  swing: -20 * DEGREE,
};
const SHAPE = sampleShape(OPTIONS);
const POSE = samplePose(OPTIONS);
/** Colours that reach beyond the upper half, so that the drawing is framed for them. */
const HALF = sampleField(5, 80 * DEGREE);
const FIELD = { ...HALF, polar: HALF.polar.map((angle) => (angle * 150) / 90) };
const SIDE = SHAPE.joints.findIndex((joint) => joint.handle);

/** A scene that is never put on a page: everything but `draw` works without one. */
function sceneOf(): FlatScene {
  const scene = new FlatScene({ replaceChildren: () => undefined } as unknown as SVGSVGElement);
  scene.resize(1280, 520, 1);
  scene.setShape(SHAPE);
  scene.setPose(POSE);
  return scene;
}

describe.each([
  ['tool', null, toolDirection(SHAPE, POSE)],
  ['joint', SIDE, jointDirection(SHAPE, POSE, SHAPE.joints[SIDE]!) as Vec3],
])('%s in the hand', (_, joint, direction) => {
  const radius = (scene: FlatScene) =>
    joint === null ? scene.toolRadius() : scene.jointRadius(joint);
  const place = (scene: FlatScene) => scene.screenOf(direction, radius(scene));

  it('moves by as much as the hand, wherever it was taken', () => {
    const scene = sceneOf();
    const [x, y] = place(scene);
    for (const [dx, dy] of [
      [0, 0],
      [9, -7],
      [-11, 4],
    ] as const) {
      const hold = scene.hold(joint, x + dx, y + dy)!;
      expect(angleBetween(hold.to(x + dx, y + dy), direction)).toBeLessThan(1e-9);
      const asked = scene.screenOf(hold.to(x + dx + 3, y + dy - 2), radius(scene));
      expect(asked[0]).toBeCloseTo(x + 3, 6);
      expect(asked[1]).toBeCloseTo(y - 2, 6);
    }
  });

  it('stays where it was asked to be when the drawing is framed otherwise', () => {
    const scene = sceneOf();
    const [x, y] = place(scene);
    const hold = scene.hold(joint, x, y)!;
    const wanted = hold.to(x + 5, y + 4);
    scene.onframed = () => hold.reframed();
    const before = scene.screenOf(wanted, radius(scene));
    scene.resize(900, 640, 1);
    scene.setField(FIELD);
    const after = scene.screenOf(wanted, radius(scene));
    expect(Math.hypot(after[0] - before[0], after[1] - before[1])).toBeGreaterThan(20);
    expect(angleBetween(hold.to(x + 5, y + 4), wanted)).toBeLessThan(1e-9);
    // A pixel of the hand is a pixel of the thing.
    const next = scene.screenOf(hold.to(x + 6, y + 4), radius(scene));
    expect(next[0]).toBeCloseTo(after[0] + 1, 6);
    expect(next[1]).toBeCloseTo(after[1], 6);
  });

  it('behind the centre it does not leap to the half before it', () => {
    const scene = sceneOf();
    const azimuth = Math.atan2(direction[1], direction[0]);
    scene.setView({ azimuth: azimuth + Math.PI, elevation: -0.2, zoom: 1 });
    expect(scene.sideOf(direction, radius(scene))).toBe('back');
    const [x, y] = place(scene);
    const hold = scene.hold(joint, x + 4, y)!;
    expect(angleBetween(hold.to(x + 5, y), direction)).toBeLessThan(3 * DEGREE);
    // Round the edge it comes to the front, and stays there.
    hold.to(x + 5000, y);
    expect(scene.sideOf(hold.to(x + 4, y), radius(scene))).toBe('front');
  });
});

describe('framed', () => {
  it('is said whenever what is drawn comes to lie elsewhere', () => {
    const scene = sceneOf();
    const tool = toolDirection(SHAPE, POSE);
    const place = () => scene.screenOf(tool, 150);
    let told = place();
    scene.onframed = () => (told = place());
    for (const change of [
      () => scene.setView({ azimuth: 1, elevation: 0.3, zoom: 1.2 }),
      () => scene.resize(700, 700, 1),
      () => scene.setField(FIELD),
      () => scene.setOther(sampleShape({ ...OPTIONS, stages: 4 }), POSE),
      () => scene.setField(null),
      () => scene.setShape(sampleShape({ ...OPTIONS, stages: 3 })),
    ]) {
      change();
      expect(told).toEqual(place());
    }
  });
});
