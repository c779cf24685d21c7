import { describe, expect, it } from 'vitest';
import { directionOf } from './arcs';
import { FlatScene } from './flat';
import { placesOf } from './planned';
import { samplePose, sampleShape } from './sample';
import type { Vec3 } from './types';

const DEGREE = Math.PI / 180;
const stops: Vec3[] = [
  directionOf(20 * DEGREE, 0),
  directionOf(40 * DEGREE, 1),
  directionOf(20 * DEGREE, 1e-6),
  directionOf(60 * DEGREE, 2),
];

describe('a plan of measuring', () => {
  it('names every row once, rows of one place together', () => {
    const places = placesOf(stops);
    expect(places.map((one) => one.rows)).toEqual([[1, 3], [2], [4]]);
    expect(placesOf([])).toEqual([]);
  });

  it('is drawn with its numbers, and is gone when taken off', () => {
    const options = { stages: 2, arc: 23.5 * DEGREE, half: 42 * DEGREE, swing: 0 };
    const scene = new FlatScene({ replaceChildren: () => undefined } as unknown as SVGSVGElement);
    scene.resize(1000, 600, 1);
    scene.setShape(sampleShape(options));
    scene.setPose(samplePose(options));
    scene.setView({ azimuth: 0, elevation: 1.5, zoom: 1 });
    scene.setPlanned(stops);
    const numbers = [...scene.svg().matchAll(/class="planned number"[^>]*>([\d, ]+)</g)];
    expect(numbers.map((one) => one[1])).toEqual(['1, 3', '2', '4']);
    expect(scene.svg()).toContain('class="planned way"');
    scene.setPlanned([]);
    expect(scene.svg()).not.toContain('planned');
  });
});
