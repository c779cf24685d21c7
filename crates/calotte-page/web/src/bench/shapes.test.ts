import { describe, expect, it } from 'vitest';
import type { DomeAnswer } from '../api/types';
import { domeCsv, roundScale, valueOver } from './shapes';

const dome: DomeAnswer = {
  label: 'Minimum stiffness',
  unit: 'N/mm',
  polar_deg: [0, 10, 20],
  azimuth_deg: [0, 180, 360],
  // Linear in both angles, so that interpolation must be exact: 1 + polar/10 + azimuth/180.
  values: [1, 2, 3, 2, 3, 4, 3, null, 5],
  state: [0, 0, 0, 0, 0, 0, 0, 1, 0],
  low: 1,
  high: 5,
  caps: [],
  zones: [],
  reason: null,
};

describe('a value over the dome', () => {
  it('lies between its nodes', () => {
    expect(valueOver(dome, { polar: 5, azimuth: 90 })).toBeCloseTo(2, 12);
    expect(valueOver(dome, { polar: 0, azimuth: 360 })).toBeCloseTo(3, 12);
  });
  it('is none beside a node without one, and beyond the grid', () => {
    expect(valueOver(dome, { polar: 15, azimuth: 90 })).toBeNull();
    expect(valueOver(dome, { polar: 30, azimuth: 90 })).toBeNull();
  });
  it('is written as a table', () => {
    const lines = domeCsv(dome).trim().split('\n');
    expect(lines[0]).toBe('polar_deg,azimuth_deg,minimum_stiffness_n_per_mm,state');
    expect(lines[8]).toBe('20,180,,out of reach');
    expect(lines).toHaveLength(10);
  });
});

describe('the scale of a deflection', () => {
  it('is round and never makes less of it', () => {
    expect(roundScale(0.3)).toBe(1);
    expect(roundScale(7.2)).toBe(5);
    expect(roundScale(230)).toBe(200);
    expect(roundScale(1000)).toBe(1000);
  });
});
