/** Lines and styles of the zones, shared by both ways of drawing. */
import { directionOf, refined } from './arcs';
import type { Palette } from './palette';
import type { SceneZone, Vec3 } from './types';

export interface ZoneStyle {
  stroke: string;
  width: number;
  dash?: number[];
  /** How a filled part is marked. */
  fill: 'none' | 'hatch' | 'dim';
}

/** Kinds in the order of painting: what is most in need of being seen comes last. */
export const ZONE_ORDER = ['reach', 'excluded', 'region', 'type-1', 'type-2'] as const;

export function zoneStyle(kind: SceneZone['kind'], p: Palette): ZoneStyle {
  switch (kind) {
    case 'region':
      return { stroke: p.ink, width: 1.8, fill: 'none' };
    case 'excluded':
      return { stroke: p.soft, width: 1.4, fill: 'hatch' };
    case 'reach':
      return { stroke: p.soft, width: 1.4, fill: 'dim' };
    case 'type-1':
      return { stroke: p.doubt, width: 2.2, dash: [7, 5], fill: 'hatch' };
    case 'type-2':
      return { stroke: p.danger, width: 2.4, fill: 'hatch' };
  }
}

const FINE = (2 * Math.PI) / 180;

function parallel(polar: number): Vec3[] {
  const count = 120;
  return Array.from({ length: count + 1 }, (_, i) => directionOf(polar, (2 * Math.PI * i) / count));
}

/** Everything of a zone that is drawn as a line: its outlines and the edges of its bands. */
export function zoneLines(zone: SceneZone): Vec3[][] {
  const edges = (zone.bands ?? []).flatMap(({ polarFrom, polarTo }) =>
    [polarFrom, polarTo].filter((polar) => polar > 1e-3 && polar < Math.PI - 1e-3).map(parallel),
  );
  return [...zone.outlines.map((line) => refined(line, FINE)), ...edges];
}

/** The closed outlines whose inside is filled: those of an excluded zone. */
export function zoneFills(zone: SceneZone): Vec3[][] {
  if (zone.kind !== 'excluded') return [];
  return zone.outlines.filter((line) => line.length > 2).map((line) => refined(line, FINE));
}
