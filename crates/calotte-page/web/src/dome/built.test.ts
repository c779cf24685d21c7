import { describe, expect, it } from 'vitest';
import { directionOf, rotate, scale, subtract, length } from './arcs';
import { creases, enlargements, placed } from './built';
import { FlatScene } from './flat';
import { partColour } from './glbuilt';
import { channels, palette } from './palette';
import { samplePose, sampleShape, type SampleOptions } from './sample';
import type { Shown } from './state';
import type { ScenePart, SceneParts, Vec3 } from './types';

const DEGREE = Math.PI / 180;
const OPTIONS: SampleOptions = { stages: 1, arc: 0.4, half: 0.7, swing: 0.1 };

/** A closed prism of so many sides, 10 mm high, corners shared by its faces. */
function prism(sides: number): { positions: Float32Array; triangles: Uint32Array } {
  const positions: number[] = [0, 0, 0, 0, 0, 10];
  const triangles: number[] = [];
  for (let i = 0; i < sides; i += 1) {
    const turn = (2 * Math.PI * i) / sides;
    positions.push(Math.cos(turn), Math.sin(turn), 0, Math.cos(turn), Math.sin(turn), 10);
    const [a, b] = [2 + 2 * i, 2 + 2 * ((i + 1) % sides)];
    triangles.push(a, b, b + 1, a, b + 1, a + 1, 0, b, a, 1, a + 1, b + 1);
  }
  return { positions: new Float32Array(positions), triangles: new Uint32Array(triangles) };
}

function part(name: string, kind: ScenePart['kind'], body: number, radii: [number, number]) {
  const mesh = prism(6);
  const own: ScenePart = { name, kind, body, radii, joint: null, between: null, ...mesh };
  return own;
}

/** Two layers 14 mm apart, their pin and spacer, a shaft and the housing; invented. */
function twoLayers(): SceneParts {
  const joint = { joint: 'side left 1', between: [1, 2] as [number, number] };
  return {
    pitch: 14,
    bodyRadii: [190, 150, 164],
    parts: [
      part('inner bar', 'bar', 1, [144, 156]),
      part('outer bar', 'bar', 2, [158, 170]),
      { ...part('side left 1 pin', 'pin', 1, [144, 170]), ...joint },
      { ...part('side left 1 spacer', 'spacer', 1, [156, 158]), ...joint },
      { ...part('base shaft', 'shaft', 2, [158, 200]), joint: 'base', between: [0, 2] },
      part('housing', 'housing', 0, [180, 200]),
      part('tool', 'tool', 1, [100, 144]),
    ],
  };
}

describe('edges of a mesh', () => {
  it('are those of a box, without its diagonals', () => {
    const { positions, triangles } = prism(4);
    // 12 edges, two points of three numbers each.
    expect(creases(positions, triangles)).toHaveLength(12 * 6);
  });

  it('are only the two rims of a round', () => {
    const { positions, triangles } = prism(64);
    const edges = creases(positions, triangles);
    expect(edges).toHaveLength(2 * 64 * 6);
    for (let i = 0; i < edges.length; i += 6) expect(edges[i + 2]).toBe(edges[i + 5]);
  });
});

describe('parts drawn apart', () => {
  const parts = twoLayers();
  const spans = (apart: number): Record<string, [number, number]> =>
    Object.fromEntries(
      enlargements(parts, apart).map((factor, i) => {
        const { name, radii } = parts.parts[i] as ScenePart;
        return [name, [radii[0] * factor, radii[1] * factor]];
      }),
    );

  it('keep their size when assembled', () => {
    expect(enlargements(parts, 0)).toEqual(parts.parts.map(() => 1));
  });

  it('leave the innermost layer and the tool where they are', () => {
    const factors = enlargements(parts, 1);
    expect(factors[0]).toBe(1);
    expect(factors[6]).toBe(1);
  });

  it('come apart in the order of the layers: bar, spacer, pin, bar', () => {
    const whole = spans(1);
    const order = ['inner bar', 'side left 1 spacer', 'side left 1 pin', 'outer bar'];
    for (let i = 1; i < order.length; i += 1) {
      const [below, above] = [whole[order[i - 1]!]!, whole[order[i]!]!];
      expect(above[0]).toBeGreaterThan(below[1]);
    }
    expect(whole['housing']![0]).toBeGreaterThan(whole['outer bar']![1]);
  });

  it('move outwards only, and further the further apart', () => {
    let before = enlargements(parts, 0);
    for (const share of [0.25, 0.5, 0.75, 1]) {
      const now = enlargements(parts, share);
      now.forEach((factor, i) => expect(factor).toBeGreaterThanOrEqual(before[i]!));
      before = now;
    }
  });

  it('stay on the axes of their joints: directions do not change', () => {
    const turn = samplePose(OPTIONS).rotations[1] as number[];
    const point = scale(directionOf(40 * DEGREE, 0.3), 150);
    const factor = enlargements(parts, 1)[1]!;
    const moved = rotate(
      turn.map((v) => v * factor),
      point,
    );
    const along = scale(rotate(turn, point), factor);
    expect(length(subtract(moved, along))).toBeLessThan(1e-9);
  });

  it('do not grow beyond all bounds with many layers', () => {
    const many: SceneParts = {
      pitch: 20,
      bodyRadii: [500, ...Array.from({ length: 14 }, (_, k) => 150 + 20 * k)],
      parts: Array.from({ length: 14 }, (_, k) =>
        part(`bar ${k}`, 'bar', k + 1, [142 + 20 * k, 158 + 20 * k]),
      ),
    };
    expect(Math.max(...enlargements(many, 1))).toBeLessThanOrEqual(1.7 + 1e-9);
  });

  it('say where joints are taken hold of', () => {
    const sample = sampleShape(OPTIONS);
    const shape = { ...sample, tool: { ...sample.tool, body: 1 } };
    const { places } = placed(shape, parts, 0);
    expect(places?.innerFace).toBe(144);
    expect(places?.outerFace).toBe(170);
    expect(places?.top).toBe(200);
    // Beyond the pin that reaches over both bars.
    expect(places?.toolEnd).toBeGreaterThan(170);
    const index = shape.joints.findIndex((joint) => joint.name === 'side left 1');
    expect(places?.joints[index]).toBe(170);
    expect(placed(shape, parts, 1).places?.joints[index]).toBeGreaterThan(170);
  });
});

describe('colours of parts', () => {
  const shown = (change: Partial<Shown>): Shown =>
    ({
      shape: sampleShape(OPTIONS),
      tint: null,
      deflected: null,
      marked: [],
      ...change,
    }) as Shown;
  const light = palette(false);
  const bright = (colour: string): number => channels(colour).reduce((sum, v) => sum + v, 0);
  const [bar, , pin] = twoLayers().parts as [ScenePart, ScenePart, ScenePart];

  it('tint bars by the share of their body, and nothing else', () => {
    const tinted = shown({ tint: [0, 1, 0] });
    expect(partColour(light, tinted, bar)).toBe(light.doubt);
    expect(partColour(light, tinted, pin)).toBe(partColour(light, shown({}), pin));
  });

  it('are darker for pins than for bars', () => {
    const plain = shown({});
    expect(bright(partColour(light, plain, pin))).toBeLessThan(
      bright(partColour(light, plain, bar)),
    );
  });

  it('bring out what is marked', () => {
    const marked = shown({ marked: [bar.name] });
    expect(partColour(light, marked, bar)).toBe(light.danger);
    expect(partColour(light, marked, pin)).not.toBe(light.danger);
  });
});

describe('the flat drawing', () => {
  it('draws one line of a built design and says so', () => {
    const scene = new FlatScene({ replaceChildren: () => undefined } as unknown as SVGSVGElement);
    scene.resize(900, 600, 1);
    scene.setShape(sampleShape(OPTIONS));
    scene.setPose(samplePose(OPTIONS));
    scene.setDrawn({ built: true, apart: 1 });
    const before = scene.svg();
    expect(before).not.toContain('left out');
    scene.setParts(twoLayers());
    expect(scene.svg()).toContain('layers, bosses and pins are left out');
    const [x, y] = scene.screenOf([0, 0, 1] as Vec3, 150);
    scene.setParts(null);
    expect(scene.screenOf([0, 0, 1] as Vec3, 150)).toEqual([x, y]);
  });
});
