import type { Box } from './labels';
import type { Layout } from './layout';
import type { Place } from './types';

/** A rectangle in the units of the axes, so that it stays in place when the width changes. */
export interface Brush {
  x0: number;
  y0: number;
  x1: number;
  y1: number;
}

/** A place moved into the plot if it lies outside. */
function inPlot(layout: Layout, place: Place): Place {
  return {
    x: Math.max(layout.left, Math.min(layout.left + layout.plotWidth, place.x)),
    y: Math.max(layout.top, Math.min(layout.top + layout.plotHeight, place.y)),
  };
}

/** The brush between two opposite corners in px, whichever comes first. */
export function brushBetween(layout: Layout, from: Place, to: Place): Brush {
  const [a, b] = [inPlot(layout, from), inPlot(layout, to)];
  return {
    x0: layout.x.invert(Math.min(a.x, b.x)),
    x1: layout.x.invert(Math.max(a.x, b.x)),
    y0: layout.y.invert(Math.max(a.y, b.y)),
    y1: layout.y.invert(Math.min(a.y, b.y)),
  };
}

/** Where a brush lies in px. */
export function brushBox(layout: Layout, brush: Brush): Box {
  const [left, right] = [layout.x.scale(brush.x0), layout.x.scale(brush.x1)];
  const [top, bottom] = [layout.y.scale(brush.y1), layout.y.scale(brush.y0)];
  return { left, top, width: right - left, height: bottom - top };
}

/**
 * Moves one side of a brush outwards by a twentieth of the plot, the side that the arrow key
 * points to. Without a brush a small one is opened around `at` first.
 */
export function grownBrush(layout: Layout, box: Box | null, at: Place, key: string): Brush {
  const { left, top, width, height } = box ?? {
    left: at.x - 4,
    top: at.y - 4,
    width: 8,
    height: 8,
  };
  const step = { x: layout.plotWidth / 20, y: layout.plotHeight / 20 };
  const from = { x: left, y: top };
  const to = { x: left + width, y: top + height };
  if (key === 'ArrowLeft') from.x -= step.x;
  if (key === 'ArrowRight') to.x += step.x;
  if (key === 'ArrowUp') from.y -= step.y;
  if (key === 'ArrowDown') to.y += step.y;
  return brushBetween(layout, from, to);
}
