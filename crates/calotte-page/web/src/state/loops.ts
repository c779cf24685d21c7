/** Load–displacement loops from a fit: what was read, and what the fit makes of it. */
import type { LoadedConfiguration, WeightsDocument } from '../api/types';

/** One branch of a loop: what hangs, kg, and displacement, mm, in the order of reading. */
export type Branch = [number, number][];

export interface Loop {
  /** Read while weights were put on and while they were taken off. */
  on: Branch;
  off: Branch;
  /** The fit at the same rows. */
  onFitted: Branch;
  offFitted: Branch;
}

/**
 * The loop of one configuration. What the fit says of a row is what was read less what the row
 * misses after the fit, both along the gauge, or along the pull where all three components
 * were read.
 */
export function loopOf(weights: WeightsDocument, of: LoadedConfiguration): Loop {
  const misses = new Map(weights.rows.map((one) => [one.row, one.residual_mm]));
  const rows = new Set(of.rows);
  const loop: Loop = { on: [], off: [], onFitted: [], offFitted: [] };
  for (const reading of weights.readings) {
    if (!rows.has(reading.row)) continue;
    const { mass_kg: mass, displacement_mm: moved } = reading;
    const on = reading.course === 'loading';
    (on ? loop.on : loop.off).push([mass, moved]);
    const miss = misses.get(reading.row);
    if (!miss) continue;
    const along = reading.gauge
      ? miss[0]
      : miss[0] * of.pull[0] + miss[1] * of.pull[1] + miss[2] * of.pull[2];
    (on ? loop.onFitted : loop.offFitted).push([mass, moved - along]);
  }
  // Taken off from the heaviest, which was put on last.
  const top = loop.on.at(-1);
  if (top && loop.off.length > 0 && (loop.off[0]?.[0] ?? 0) < top[0]) loop.off.unshift(top);
  return loop;
}

/**
 * A loop without the straight line from its first reading to the one under most mass: what is
 * left is play and friction, too thin to be seen beside the spring.
 */
export function withoutChord(loop: Loop): Loop {
  const all = [...loop.on, ...loop.off];
  const first = all[0];
  const last = all.reduce((a, b) => (b[0] > a[0] ? b : a), first ?? [0, 0]);
  if (!first || last[0] === first[0]) return loop;
  const slope = (last[1] - first[1]) / (last[0] - first[0]);
  const less = (branch: Branch): Branch =>
    branch.map(([mass, moved]) => [mass, moved - first[1] - slope * (mass - first[0])]);
  return {
    on: less(loop.on),
    off: less(loop.off),
    onFitted: less(loop.onFitted),
    offFitted: less(loop.offFitted),
  };
}
