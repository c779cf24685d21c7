import { describe, expect, it } from 'vitest';
import { layOutRows, rowSpan, ROW_HEIGHT, type Row } from './rows';

const row = (value: number | null, more: Partial<Row> = {}): Row => ({
  id: String(value),
  name: 'name',
  value,
  filled: true,
  ...more,
});

describe('span of rows', () => {
  it('holds values with errors, bands, marks and the reference', () => {
    const rows = [row(30, { error: 2 }), row(35, { band: [22, 41], nominal: 33, second: 43 })];
    const [low, high] = rowSpan(rows);
    expect(low).toBeLessThanOrEqual(22);
    expect(high).toBeGreaterThan(43);
    const [least] = rowSpan([row(20)], { log: true, reference: 1 });
    expect(least).toBeLessThan(1);
  });

  it('leaves out what a logarithmic axis cannot show, and is never empty', () => {
    const [low, high] = rowSpan([row(0), row(5), row(500)], { log: true });
    expect(low).toBeGreaterThan(0);
    expect(low).toBeLessThan(5);
    expect(high).toBeGreaterThan(500);
    for (const log of [false, true]) {
      const [a, b] = rowSpan([row(null)], { log });
      expect(b).toBeGreaterThan(a);
      const [c, d] = rowSpan([row(7)], { log });
      expect(d).toBeGreaterThan(c);
    }
  });

  it('starts at zero where values begin near it', () => {
    expect(rowSpan([row(1), row(10)])[0]).toBe(0);
    expect(rowSpan([row(9), row(10)])[0]).toBeGreaterThan(8);
  });
});

describe('layout of rows', () => {
  const request = {
    width: 600,
    names: ['bar-left-1.first_arc_deg', 'swing.scale', 'sensor.radius_mm'],
    notes: ['off', 'held'],
    x: { label: 'Stiffness', unit: 'N/mm', domain: [0, 50] as [number, number] },
    head: 40,
  };

  it('gives each row its own height, in order, and its name', () => {
    const layout = layOutRows(request);
    const [first, second, third] = [0, 1, 2].map((index) => layout.y.scale(index)) as number[];
    expect(second! - first!).toBe(ROW_HEIGHT);
    expect(third! - second!).toBe(ROW_HEIGHT);
    expect(layout.y.ticks.map((tick) => tick.label)).toEqual(request.names);
    for (const index of [0, 1, 2]) {
      expect(layout.y.invert(layout.y.scale(index))).toBeCloseTo(index, 9);
    }
    expect(first!).toBeGreaterThan(layout.top);
    expect(third!).toBeLessThan(layout.top + layout.plotHeight);
  });

  it('keeps names, plot and notes within the width, however narrow', () => {
    for (const width of [260, 400, 600, 1200]) {
      const layout = layOutRows({ ...request, width, names: ['x'.repeat(80)] });
      expect(layout.left).toBeGreaterThan(20);
      expect(layout.plotWidth).toBeGreaterThanOrEqual(60);
      expect(layout.left + layout.plotWidth).toBeLessThan(width);
      expect(layout.x.scale(0)).toBeCloseTo(layout.left, 9);
      expect(layout.x.scale(50)).toBeCloseTo(layout.left + layout.plotWidth, 9);
      expect(layout.x.invert(layout.x.scale(12))).toBeCloseTo(12, 9);
    }
  });

  it('is logarithmic where asked for', () => {
    const x = { label: 'a', unit: '', log: true, domain: [0.1, 1000] as [number, number] };
    const layout = layOutRows({ ...request, x });
    const steps = [0.1, 1, 10, 100].map((v) => layout.x.scale(10 * v) - layout.x.scale(v));
    for (const step of steps) expect(step).toBeCloseTo(steps[0]!, 6);
  });
});
