import { describe, expect, it } from 'vitest';
import { linearLabels, linearTicks, logTicks, stepDecimals, type TickRequest } from './ticks';

function linear(low: number, high: number, room: number, integer = false): TickRequest {
  return {
    domain: [low, high],
    position: (value) => ((value - low) / (high - low)) * room,
    room,
    extent: (label) => label.length * 7,
    gap: 10,
    integer,
  };
}

function logarithmic(low: number, high: number, room: number): TickRequest {
  return {
    ...linear(low, high, room),
    position: (value) => (Math.log(value / low) / Math.log(high / low)) * room,
  };
}

/** Free space in px between the two labels nearest to each other. */
function smallestGap(ticks: { value: number; label: string }[], request: TickRequest): number {
  const shown = ticks.filter((tick) => tick.label !== '');
  const edge = (tick: { value: number; label: string }, side: number) =>
    request.position(tick.value) + (side * tick.label.length * 7) / 2;
  const gaps = shown.flatMap((tick, index) => {
    const next = shown[index + 1];
    return next ? [edge(next, -1) - edge(tick, 1)] : [];
  });
  return Math.min(Infinity, ...gaps);
}

const labels = (ticks: { label: string }[]) =>
  ticks.map((tick) => tick.label).filter((label) => label !== '');

// Expected ticks are worked out by hand from the rule: round steps of 1, 2 or 5.
describe('linear ticks', () => {
  it('are round', () => {
    expect(labels(linearTicks(linear(0, 10, 250)))).toEqual(['0', '2', '4', '6', '8', '10']);
  });

  it('share their decimals, with a bare zero and the true minus sign', () => {
    expect(linearLabels([-0.5, 0, 0.5, 1], 0.5)).toEqual(['\u22120.5', '0', '0.5', '1.0']);
    expect(stepDecimals(0.05)).toBe(2);
    expect(stepDecimals(0.001)).toBe(3);
    expect(stepDecimals(20)).toBe(0);
  });

  it('turn to powers for very small steps', () => {
    expect(linearLabels([0, 2e-6, 4e-6], 2e-6)).toEqual(['0', '2×10⁻⁶', '4×10⁻⁶']);
  });

  it('stay whole when asked', () => {
    const ticks = linearTicks(linear(0.7, 4.3, 900, true));
    expect(ticks.map((tick) => tick.value)).toEqual([1, 2, 3, 4]);
  });

  it('give one tick for an axis without length', () => {
    expect(linearTicks({ ...linear(3, 3, 100), position: () => 50 })).toHaveLength(1);
  });

  // Property, for many widths: no two labels touch and none lies outside.
  it('never let labels touch', () => {
    for (let room = 60; room < 1200; room += 37) {
      for (const [low, high] of [
        [0, 1],
        [-12345, 54321],
        [1e-7, 3e-7],
        [99.95, 100.05],
        [0, 3e8],
      ] as const) {
        const request = linear(low, high, room);
        const ticks = linearTicks(request);
        expect(ticks.length).toBeGreaterThan(0);
        expect(smallestGap(ticks, request)).toBeGreaterThanOrEqual(10);
        for (const { value } of ticks) {
          expect(value).toBeGreaterThanOrEqual(low);
          expect(value).toBeLessThanOrEqual(high);
        }
      }
    }
  });
});

describe('logarithmic ticks', () => {
  it('label 1, 2 and 5 where there is room, else decades', () => {
    expect(labels(logTicks(logarithmic(1, 100, 900)))).toEqual([
      '1',
      '2',
      '5',
      '10',
      '20',
      '50',
      '100',
    ]);
    expect(labels(logTicks(logarithmic(1, 100, 100)))).toEqual(['1', '10', '100']);
  });

  it('write one way along the whole axis', () => {
    expect(labels(logTicks(logarithmic(1e-5, 1e-2, 160)))).toEqual([
      '10⁻⁵',
      '10⁻⁴',
      '10⁻³',
      '10⁻²',
    ]);
  });

  it('keep unlabelled multiples', () => {
    const ticks = logTicks(logarithmic(1, 10, 60));
    expect(ticks.map((tick) => tick.value)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
  });

  it('never let labels touch', () => {
    for (let room = 60; room < 1200; room += 53) {
      for (const high of [5, 30, 1e3, 1e6, 1e12]) {
        const request = logarithmic(1, high, room);
        const ticks = logTicks(request);
        expect(labels(ticks).length).toBeGreaterThan(0);
        expect(smallestGap(ticks, request)).toBeGreaterThanOrEqual(10);
      }
    }
  });
});
