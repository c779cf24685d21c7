/** Colours of the drawing, as sRGB hexadecimal. The same constants serve both ways of drawing. */
import { VIRIDIS } from '../plots/maps';
import type { SceneBody } from './types';

export interface Palette {
  paper: string;
  ink: string;
  /** Second-rank ink: marks, ticks, graticule. */
  soft: string;
  /** What can be moved by hand. */
  grip: string;
  /** Bars of the left branch, of the right branch, and of the base. */
  left: string;
  right: string;
  ground: string;
  /** Bosses and pins. */
  boss: string;
  pin: string;
  /** Shaft of the tool. */
  tool: string;
  /** The second design. */
  second: string;
  /** Greatest share in a tint; type 1 lines. */
  doubt: string;
  /** Type 2 lines and the margin to them. */
  danger: string;
  /** Surface of the dome without a field, and of its parts without a value. */
  dome: string;
  noValue: string;
  /** Edges of the bars. */
  edge: string;
}

const LIGHT: Palette = {
  paper: '#f6f4ef',
  ink: '#1d2427',
  soft: '#535c60',
  grip: '#9a3b12',
  left: '#d3dadf',
  right: '#95a3ae',
  ground: '#b9b4a9',
  boss: '#b4bcc1',
  pin: '#4d565b',
  tool: '#3e474c',
  second: '#3a5a8c',
  doubt: '#7a5a00',
  danger: '#a3261f',
  dome: '#e9e4d8',
  noValue: '#d9d4c9',
  edge: '#2b3438',
};

const DARK: Palette = {
  paper: '#15191c',
  ink: '#e9e6df',
  soft: '#a8b0b3',
  grip: '#f2a26b',
  left: '#c6d0d8',
  right: '#7d8c98',
  ground: '#6b6a66',
  boss: '#95a1aa',
  pin: '#2b3237',
  tool: '#dcdad4',
  second: '#9dbdf0',
  doubt: '#e5c25c',
  danger: '#ff9a8f',
  dome: '#283036',
  noValue: '#333b40',
  edge: '#0c0f11',
};

export const palette = (dark: boolean): Palette => (dark ? DARK : LIGHT);

/** Red, green and blue of a hexadecimal colour, 0 to 1, as stored (no conversion). */
export function channels(colour: string): [number, number, number] {
  const value = Number.parseInt(colour.slice(1), 16);
  return [((value >> 16) & 255) / 255, ((value >> 8) & 255) / 255, (value & 255) / 255];
}

/** A colour between two, by share 0 to 1, as hexadecimal. */
export function mix(from: string, to: string, share: number): string {
  const a = channels(from);
  const b = channels(to);
  const t = Math.min(1, Math.max(0, share));
  const hex = a.map((v, i) => {
    const value = Math.round(255 * (v + ((b[i] ?? 0) - v) * t));
    return value.toString(16).padStart(2, '0');
  });
  return `#${hex.join('')}`;
}

export type Branch = 'left' | 'right' | 'ground';

/**
 * Which tone a body takes. The branch is read from the name; bodies whose name says neither
 * alternate, since neighbours along a chain must differ.
 */
export function branchOf(body: SceneBody, index: number): Branch {
  if (!body.moving) return 'ground';
  const side = /left|right/.exec(body.name.toLowerCase());
  if (side) return side[0] === 'left' ? 'left' : 'right';
  return index % 2 === 0 ? 'left' : 'right';
}

/** Colour of a body, tinted towards the ochre of the palette by its share if there is one. */
export function bodyColour(p: Palette, body: SceneBody, index: number, share?: number): string {
  const plain = p[branchOf(body, index)];
  return share === undefined ? plain : mix(plain, p.doubt, share);
}

/** Entries of the table of values. */
export const RAMP_SIZE = VIRIDIS.length;

/** Index of the entry of a value on a scale. */
export function rampIndex(value: number, low: number, high: number): number {
  const share = high > low ? (value - low) / (high - low) : 0.5;
  return Math.min(RAMP_SIZE - 1, Math.max(0, Math.floor(share * RAMP_SIZE)));
}

/** Entry by index, hexadecimal. */
export const rampColour = (index: number): string => VIRIDIS[index] ?? '#000000';

/** The table as bytes, red green blue alpha. */
export function rampBytes(): Uint8Array {
  const bytes = new Uint8Array(4 * RAMP_SIZE);
  VIRIDIS.forEach((colour, i) => {
    bytes.set([...channels(colour).map((v) => Math.round(v * 255)), 255], 4 * i);
  });
  return bytes;
}
