import { describe, expect, it } from 'vitest';
import { domeArrays, domeExtent, domeRadius, fieldGrid } from './dome';
import { branchOf, channels, mix, rampBytes, rampColour, rampIndex, RAMP_SIZE } from './palette';
import { sampleField, sampleShape } from './sample';

describe('table of values', () => {
  it('is the same as bytes', () => {
    const bytes = rampBytes();
    for (let index = 0; index < RAMP_SIZE; index += 1) {
      const expected = channels(rampColour(index)).map((v) => Math.round(255 * v));
      expect([...bytes.slice(4 * index, 4 * index + 3)]).toEqual(expected);
      expect(rampIndex((index + 0.5) / RAMP_SIZE, 0, 1)).toBe(index);
    }
  });

  it('keeps values beyond the scale at its ends', () => {
    expect(rampIndex(-3, 0, 1)).toBe(0);
    expect(rampIndex(7, 0, 1)).toBe(255);
    expect(rampIndex(2, 2, 2)).toBe(128);
  });
});

describe('dome of a field', () => {
  const field = sampleField(5, 1.4);
  const grid = fieldGrid(field);
  const arrays = domeArrays(grid, 100);

  it('closes the columns round the axis', () => {
    expect(grid.azimuth).toHaveLength(field.azimuth.length + 1);
    expect(grid.azimuth.at(-1)).toBeCloseTo(2 * Math.PI);
  });

  it('lies on its sphere and covers the area of the cap it spans', () => {
    let area = 0;
    const at = (i: number): number[] => [...arrays.positions.slice(3 * i, 3 * i + 3)];
    for (let i = 0; i < arrays.indices.length; i += 3) {
      const [a, b, c] = [0, 1, 2].map((k) => at(arrays.indices[i + k] as number)) as number[][];
      const u = b?.map((v, k) => v - (a?.[k] ?? 0)) ?? [];
      const w = c?.map((v, k) => v - (a?.[k] ?? 0)) ?? [];
      const [ux, uy, uz, wx, wy, wz] = [...u, ...w] as [
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      area += Math.hypot(uy * wz - uz * wy, uz * wx - ux * wz, ux * wy - uy * wx) / 2;
    }
    // Archimedes: a cap of height h has 2πRh, here the half sphere.
    expect(area / (2 * Math.PI * 100 * 100)).toBeCloseTo(1, 2);
    for (let i = 0; i < arrays.positions.length; i += 3) {
      expect(Math.hypot(...arrays.positions.slice(i, i + 3))).toBeCloseTo(100, 3);
    }
  });

  it('has the values of the grid at its nodes and states that add up to 1', () => {
    // A node of 5° is every second vertex of the refined grid.
    const columns = 2 * field.azimuth.length + 1;
    for (const [row, column] of [
      [4, 7],
      [10, 60],
      [3, 0],
    ] as const) {
      const expected = field.values[row * field.azimuth.length + column] as number;
      expect(arrays.values[2 * row * columns + 2 * column]).toBeCloseTo(expected, 6);
    }
    for (let i = 0; i < arrays.states.length; i += 4) {
      expect(arrays.states.slice(i, i + 4).reduce((a, b) => a + b)).toBeCloseTo(1, 5);
    }
  });

  it('gives holes the mean of their neighbours and marks them as without value', () => {
    const hole = grid.valid.indexOf(false);
    expect(hole).toBeGreaterThanOrEqual(0);
    expect(grid.values.every((value) => Number.isFinite(value))).toBe(true);
  });

  it('stays inside the bars but at the radius given when that is less', () => {
    const shape = sampleShape({ stages: 1, arc: 0.5, half: 0.5, swing: 0 });
    expect(domeRadius(shape, null)).toBeLessThan(shape.jointRadius - 3);
    expect(domeRadius(shape, { ...field, radius: 90 })).toBe(90);
    expect(domeExtent(field)).toBeCloseTo(Math.PI / 2);
  });
});

describe('palette', () => {
  it('mixes and tells branches apart', () => {
    expect(mix('#000000', '#ffffff', 0.5)).toBe('#808080');
    const body = { moving: true, stations: [], arcs: [] };
    expect(branchOf({ ...body, name: 'bar-left-2' }, 5)).toBe('left');
    expect(branchOf({ ...body, name: 'Right base' }, 0)).toBe('right');
    expect(branchOf({ ...body, name: 'forearm' }, 1)).toBe('right');
    expect(branchOf({ ...body, moving: false, name: 'left' }, 1)).toBe('ground');
  });
});
