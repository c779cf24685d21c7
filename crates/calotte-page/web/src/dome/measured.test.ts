import { describe, expect, it } from 'vitest';
import { contrast, parseRgb } from '../plots/colour';
import { FlatScene } from './flat';
import { outwardColour, outwardStep, OUTWARD_STEPS, rowAt } from './measured';
import { samplePose, sampleShape } from './sample';
import type { SceneMeasured, Vec3 } from './types';

const DEGREE = Math.PI / 180;
const OPTIONS = { stages: 2, arc: 23.5 * DEGREE, half: 42 * DEGREE, swing: 0 };

function sceneOf(): FlatScene {
  const scene = new FlatScene({ replaceChildren: () => undefined } as unknown as SVGSVGElement);
  scene.resize(1000, 600, 1);
  scene.setShape(sampleShape(OPTIONS));
  scene.setPose(samplePose(OPTIONS));
  // From above: the whole upper half is seen.
  scene.setView({ azimuth: 0, elevation: 1.5, zoom: 1 });
  return scene;
}

const rows: SceneMeasured['rows'] = [
  { row: 3, direction: [0, 0, 1], residual: [2, 0, 0], outward: 0, off: false },
  { row: 5, direction: [0.5, 0, 0.75 ** 0.5], residual: [0, 1, 0], outward: 0.7, off: false },
  { row: 9, direction: [-0.6, 0, 0.8], residual: [9, 9, 9], outward: 9, off: true },
  // Below the rim, behind the dome as seen from above.
  { row: 11, direction: [0, 0, -1], residual: [1, 1, 1], outward: -0.4, off: false },
];
const measured: SceneMeasured = { rows, magnified: 10, limit: 1 };

/** Path data of the primitives of a role in a saved picture. */
const paths = (svg: string, role: string): string[] =>
  [...svg.matchAll(/<path class="([^"]*)"[^>]* d="([^"]*)"/g)]
    .filter((found) => found[1] === role)
    .map((found) => found[2] ?? '');

describe('colours of the outward part', () => {
  it('are symmetric about zero and end at the limit', () => {
    const middle = (OUTWARD_STEPS - 1) / 2;
    expect(outwardStep(0, 2)).toBe(middle);
    expect(outwardStep(2, 2)).toBe(OUTWARD_STEPS - 1);
    expect(outwardStep(-2, 2)).toBe(0);
    expect(outwardStep(50, 2)).toBe(OUTWARD_STEPS - 1);
    for (const value of [0.3, 0.9, 1.7]) {
      expect(outwardStep(value, 2) + outwardStep(-value, 2)).toBe(OUTWARD_STEPS - 1);
    }
    expect(outwardStep(1, 0)).toBe(middle);
  });

  it('grow darker to both sides of a light middle, and differ from each other', () => {
    const light = Array.from({ length: OUTWARD_STEPS }, (_, k) =>
      contrast(parseRgb(outwardColour(k)), [0, 0, 0]),
    );
    const middle = (OUTWARD_STEPS - 1) / 2;
    for (let k = 0; k < middle; k += 1) {
      expect(light[k]!).toBeLessThan(light[k + 1]!);
      expect(light[OUTWARD_STEPS - 1 - k]!).toBeLessThan(light[OUTWARD_STEPS - 2 - k]!);
    }
    const all = Array.from({ length: OUTWARD_STEPS }, (_, k) => outwardColour(k));
    expect(new Set(all).size).toBe(OUTWARD_STEPS);
  });
});

describe('a measured prototype on the dome', () => {
  it('is drawn from each seen row, magnified, and outliers as numbered crosses', () => {
    const scene = sceneOf();
    expect(paths(scene.svg(), 'measured')).toEqual([]);
    scene.setMeasured(measured);
    const svg = scene.svg();
    // Two rows of two colours: a dark line below each coloured one.
    expect(paths(svg, 'measured')).toHaveLength(4);
    expect(paths(svg, 'measured sign')).toHaveLength(2);
    expect(paths(svg, 'measured off')).toHaveLength(2);
    expect(svg.match(/class="measured number"[^>]*>(\d+)</)?.[1]).toBe('9');
    const line = paths(svg, 'measured').at(0) ?? '';
    const [x, y, tx, ty] = [...line.matchAll(/[\d.]+/g)].map(Number);
    // 2 mm by 10 along x: 20 mm as seen from (nearly) above.
    const one = scene.screenOf([1, 0, 0], 1);
    const none = scene.screenOf([1, 0, 0], 0);
    const perMm = Math.hypot(one[0] - none[0], one[1] - none[1]);
    const length = Math.hypot((tx ?? 0) - (x ?? 0), (ty ?? 0) - (y ?? 0));
    expect(length / (20 * perMm)).toBeGreaterThan(0.95);
    expect(length / (20 * perMm)).toBeLessThan(1.35);
  });

  it('is found under the pointer along its residual, and nowhere else', () => {
    const spots = [
      { row: 3, foot: [100, 100] as [number, number], tip: [160, 100] as [number, number] },
      { row: 5, foot: [100, 140] as [number, number], tip: [100, 140] as [number, number] },
    ];
    expect(rowAt(spots, 130, 103)).toBe(3);
    expect(rowAt(spots, 160, 104)).toBe(3);
    expect(rowAt(spots, 103, 138)).toBe(5);
    expect(rowAt(spots, 130, 120)).toBeNull();
    expect(rowAt([], 0, 0)).toBeNull();
  });

  it('is picked in a scene, and no longer once it is taken off', () => {
    const scene = sceneOf();
    scene.setMeasured(measured);
    scene.svg();
    const at = (direction: Vec3) => scene.screenOf(direction, 148);
    const [x, y] = at(rows[1]!.direction);
    expect(scene.rowAt(x, y)).toBe(5);
    const [bx, by] = at(rows[3]!.direction);
    expect(scene.rowAt(bx, by)).not.toBe(11);
    scene.setMeasured(null);
    expect(scene.rowAt(x, y)).toBeNull();
    expect(paths(scene.svg(), 'measured')).toEqual([]);
  });

  it('rings the row that is read, dashed behind the dome', () => {
    const scene = sceneOf();
    scene.setMeasured(measured);
    scene.setMarkedRow(5);
    const ring = /<circle class="measured marked"[^>]*stroke-dasharray/;
    expect(scene.svg()).toMatch(/class="measured marked"/);
    expect(scene.svg()).not.toMatch(ring);
    scene.setMarkedRow(11);
    expect(scene.svg()).toMatch(ring);
    scene.setMarkedRow(4);
    expect(scene.svg()).not.toMatch(/measured marked/);
  });
});
