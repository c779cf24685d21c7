/** From a fit to what the dome draws of it: units, names and round numbers only. */
import type { DomeAnswer, FitDocument, MeasuredRow } from '../api/types';
import type { SceneField, SceneMeasured } from '../dome';
import { vectorOf } from '../state/sphere';
import { fieldOf, roundScale } from './shapes';

export type When = 'before' | 'after';

export const sizeOf = (row: MeasuredRow, when: When): number =>
  Math.hypot(...(when === 'before' ? row.before_base_mm : row.after_base_mm));

/** Share of the radius that most residuals are drawn no longer than. */
const LENGTH = 1 / 5;
/** Of the rows that count, so many are drawn no longer than that. */
const MOST = 0.95;

/** A round magnification with which the residuals of rows that count are seen well. */
export function magnification(fit: FitDocument, when: When, radius: number): number {
  const sizes = fit.rows
    .filter((row) => row.used)
    .map((row) => sizeOf(row, when))
    .sort((a, b) => a - b);
  const large = sizes[Math.floor(MOST * (sizes.length - 1))] ?? 0;
  return large > 0 ? roundScale((radius * LENGTH) / large) : 1;
}

/** A round end of the colour scale, mm: no outward part of a row that counts is greater. */
export function outwardLimit(fit: FitDocument, when: When): number {
  const part = (row: MeasuredRow) =>
    Math.abs(when === 'before' ? row.before_mm.radial : row.after_mm.radial);
  const most = fit.rows.reduce((sum, row) => (row.used ? Math.max(sum, part(row)) : sum), 0);
  if (!(most > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(most));
  const lead = [1, 2, 5, 10].find((one) => one * power >= most * (1 - 1e-9)) ?? 10;
  // A power below 1 is not exact: 3e-1 · 10 must be told as 3.
  return Number((lead * power).toPrecision(3));
}

export const measuredOf = (fit: FitDocument, when: When, magnified: number): SceneMeasured => ({
  rows: fit.rows.map((row) => ({
    row: row.row,
    direction: vectorOf(row.direction_deg),
    residual: when === 'before' ? row.before_base_mm : row.after_base_mm,
    outward: (when === 'before' ? row.before_mm : row.after_mm).radial,
    off: !row.used,
  })),
  magnified,
  limit: outwardLimit(fit, when),
});

/** The dome without its values, so that no colour stands against those of the rows. */
export const plainField = (dome: DomeAnswer, radius: number): SceneField => {
  const field = fieldOf(dome, radius);
  return { ...field, values: field.values.map(() => null) };
};
