import { describe, expect, it } from 'vitest';
import type { FitDocument } from '../api/types';
import { magnification, measuredOf, outwardLimit } from './residuals';

const row = (number: number, size: number, radial: number, used = true) => ({
  row: number,
  direction_deg: { polar: 90, azimuth: 90 },
  before_mm: { polar: 0, azimuth: 0, radial },
  after_mm: { polar: 0, azimuth: 0, radial: radial / 100 },
  before_base_mm: [size, 0, 0],
  after_base_mm: [size / 100, 0, 0],
  used,
});
const fit = {
  rows: [
    ...Array.from({ length: 40 }, (_, k) => row(k + 1, 1 + k / 40, k % 2 ? -1.3 : 0.4)),
    row(41, 500, 300, false),
  ],
} as unknown as FitDocument;

describe('residuals as drawn', () => {
  it('are magnified by a round number that grows as they shrink, outliers aside', () => {
    // 95 % are below 1.95 mm; a fifth of 140 mm is 28 mm: fourteen times, ten as a round number.
    expect(magnification(fit, 'before', 140)).toBe(10);
    expect(magnification(fit, 'after', 140)).toBe(1000);
    expect(magnification({ rows: [] } as unknown as FitDocument, 'before', 140)).toBe(1);
  });

  it('have a scale of colours that ends at a round number no row that counts exceeds', () => {
    expect(outwardLimit(fit, 'before')).toBe(2);
    expect(outwardLimit(fit, 'after')).toBe(0.02);
    expect(outwardLimit({ rows: [] } as unknown as FitDocument, 'before')).toBe(1);
  });

  it('keep direction, sign and which rows are far off', () => {
    const shown = measuredOf(fit, 'before', 10);
    expect(shown.rows[0]?.direction[1]).toBeCloseTo(1, 12);
    expect(shown.rows[1]).toMatchObject({ row: 2, outward: -1.3, off: false });
    expect(shown.rows.at(-1)).toMatchObject({ row: 41, off: true, residual: [500, 0, 0] });
  });
});
