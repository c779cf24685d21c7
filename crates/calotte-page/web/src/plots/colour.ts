import { VIRIDIS } from './maps';

/** Red, green and blue from 0 to 255. */
export type Rgb = [number, number, number];

/** Reads `#rrggbb`, `#rgb`, or `rgb(r, g, b)` with whole numbers. Throws on anything else. */
export function parseRgb(text: string): Rgb {
  const hex = /^#([0-9a-f]{6})$/i.exec(text)?.[1];
  if (hex !== undefined) {
    return [0, 2, 4].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as Rgb;
  }
  const short = /^#([0-9a-f]{3})$/i.exec(text)?.[1];
  if (short !== undefined) return [...short].map((one) => Number.parseInt(one + one, 16)) as Rgb;
  const parts = /^rgb\(\s*(\d+)[\s,]+(\d+)[\s,]+(\d+)\s*\)$/.exec(text);
  if (parts) return [Number(parts[1]), Number(parts[2]), Number(parts[3])];
  throw new Error(`not a colour in #rrggbb or rgb(r, g, b) form: ${text}`);
}

/** Writes a colour as `#rrggbb`; channels are rounded and kept within 0 to 255. */
export function toHex(colour: Rgb): string {
  const channel = (value: number) =>
    Math.min(255, Math.max(0, Math.round(value)))
      .toString(16)
      .padStart(2, '0');
  return `#${colour.map(channel).join('')}`;
}

/**
 * The place of a value in the map, 0 to 255; values outside the span take the colour of its end.
 * A span without width gives the middle of the map.
 */
export function mapIndex(value: number, low: number, high: number): number {
  if (!(high > low)) return VIRIDIS.length / 2;
  const fraction = Math.min(1, Math.max(0, (value - low) / (high - low)));
  return Math.round(fraction * (VIRIDIS.length - 1));
}

/** The colour of a value in the map whose ends stand for `low` and `high`, as `#rrggbb`. */
export function colourAt(value: number, low: number, high: number): string {
  return VIRIDIS[mapIndex(value, low, high)] ?? '#000000';
}

/** Relative luminance of a colour (WCAG 2.2, definition of relative luminance). */
export function luminance(colour: Rgb): number {
  const linear = colour.map((channel) => {
    const share = channel / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  }) as Rgb;
  return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
}

/** Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio). */
export function contrast(one: Rgb, other: Rgb): number {
  const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [
    number,
    number,
  ];
  return (light + 0.05) / (dark + 0.05);
}

/** Black or white, whichever is read better on the colour; never below a contrast of 4.5. */
export function inkOn(colour: string): '#000000' | '#ffffff' {
  const ground = parseRgb(colour);
  return contrast(ground, [0, 0, 0]) >= contrast(ground, [255, 255, 255]) ? '#000000' : '#ffffff';
}
