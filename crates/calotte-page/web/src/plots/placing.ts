import { overlaps, within, type Box } from './labels';
import type { Place } from './types';

/** A line in px with the text that is to stand on it. */
export interface LabelledLine {
  points: Place[];
  width: number;
  height: number;
}

/**
 * Finds for each line a place on it where its label stands free: within `bounds`, clear of the
 * boxes already taken and of the labels placed before it, as near as possible to the middle of
 * the line and where the line runs straight. A label without such a place is left out (null).
 */
export function placeLabels(lines: LabelledLine[], bounds: Box, taken: Box[]): (Place | null)[] {
  const used = [...taken];
  return lines.map(({ points, width, height }) => {
    const middle = (points.length - 1) / 2;
    const order = points.map((_, index) => index);
    order.sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle));
    for (const index of order) {
      const at = points[index];
      if (!at) continue;
      const box: Box = {
        left: at.x - width / 2 - 3,
        top: at.y - height / 2 - 1,
        width: width + 6,
        height: height + 2,
      };
      if (!within(box, bounds) || used.some((other) => overlaps(box, other))) continue;
      used.push(box);
      return at;
    }
    return null;
  });
}

/** Adds points along a line in px so that no stretch is longer than `step` px. */
export function refine(points: Place[], step: number): Place[] {
  const fine: Place[] = [];
  points.forEach((point, index) => {
    const next = points[index + 1];
    fine.push(point);
    if (!next) return;
    const count = Math.floor(Math.hypot(next.x - point.x, next.y - point.y) / step);
    for (let part = 1; part <= count; part += 1) {
      const share = part / (count + 1);
      fine.push({
        x: point.x + share * (next.x - point.x),
        y: point.y + share * (next.y - point.y),
      });
    }
  });
  return fine;
}

/** Length of a line in px. */
export function lineLength(points: Place[]): number {
  return points.reduce((sum, point, index) => {
    const before = points[index - 1];
    return before ? sum + Math.hypot(point.x - before.x, point.y - before.y) : 0;
  }, 0);
}
