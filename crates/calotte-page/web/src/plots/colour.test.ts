import { describe, expect, it } from 'vitest';
import {
  colourAt,
  contrast,
  hexTable,
  inkOn,
  luminance,
  mapIndex,
  parseRgb,
  rgbaTable,
  toHex,
} from './colour';

describe('maps', () => {
  // Ends and middle of viridis as published with the map (from memory).
  it('has the published colours of viridis', () => {
    expect(hexTable('viridis')[0]).toBe('#440154');
    expect(hexTable('viridis')[255]).toBe('#fde725');
    const middle = parseRgb(hexTable('viridis')[128] ?? '');
    [33, 145, 140].forEach((channel, index) => {
      expect(Math.abs((middle[index] ?? 0) - channel)).toBeLessThanOrEqual(2);
    });
  });

  // Ends of cividis as published with the map (from memory); the map is a fit, hence the margin.
  it('has nearly the published ends of cividis', () => {
    const [low, high] = [hexTable('cividis')[0], hexTable('cividis')[255]].map((colour) =>
      parseRgb(colour ?? ''),
    );
    [0, 32, 77].forEach((channel, index) => {
      expect(Math.abs((low?.[index] ?? 0) - channel)).toBeLessThanOrEqual(6);
    });
    [255, 234, 70].forEach((channel, index) => {
      expect(Math.abs((high?.[index] ?? 0) - channel)).toBeLessThanOrEqual(6);
    });
  });

  // Property that both maps are designed for: lightness rises from end to end.
  it.each(['viridis', 'cividis'] as const)('%s gets lighter all the way', (name) => {
    const light = hexTable(name)
      .filter((_, index) => index % 15 === 0)
      .map((colour) => luminance(parseRgb(colour)));
    light.slice(1).forEach((value, index) => expect(value).toBeGreaterThan(light[index] ?? 1));
  });

  it('gives the same colours as bytes for a texture', () => {
    const bytes = rgbaTable('viridis');
    expect(bytes).toHaveLength(1024);
    expect([...bytes.slice(0, 4)]).toEqual([0x44, 0x01, 0x54, 255]);
    expect([...bytes.slice(1020)]).toEqual([0xfd, 0xe7, 0x25, 255]);
  });

  // Derived: 255 steps over the span; ends hold outside it.
  it('looks values up', () => {
    expect(mapIndex(5, 0, 10)).toBe(128);
    expect(mapIndex(-3, 0, 10)).toBe(0);
    expect(mapIndex(99, 0, 10)).toBe(255);
    expect(mapIndex(4, 4, 4)).toBe(128);
    expect(colourAt('viridis', 10, 0, 10)).toBe('#fde725');
  });
});

describe('contrast', () => {
  // WCAG 2.2: black on white has 21, equal colours have 1; #767676 on white is the well-known
  // lightest grey with at least 4.5.
  it('follows WCAG', () => {
    expect(contrast([0, 0, 0], [255, 255, 255])).toBeCloseTo(21, 10);
    expect(contrast([9, 9, 9], [9, 9, 9])).toBe(1);
    expect(contrast(parseRgb('#767676'), [255, 255, 255])).toBeGreaterThanOrEqual(4.5);
    expect(contrast(parseRgb('#777777'), [255, 255, 255])).toBeLessThan(4.5);
  });

  it('finds readable ink on every colour of the maps', () => {
    for (const colour of [...hexTable('viridis'), ...hexTable('cividis')]) {
      expect(contrast(parseRgb(inkOn(colour)), parseRgb(colour))).toBeGreaterThanOrEqual(4.5);
    }
  });
});

describe('notation', () => {
  it('reads and writes', () => {
    expect(parseRgb('rgb(1, 2, 255)')).toEqual([1, 2, 255]);
    expect(parseRgb('#0fa')).toEqual([0, 255, 170]);
    expect(toHex([300, -4, 15.6])).toBe('#ff0010');
    expect(() => parseRgb('teal')).toThrow(/teal/);
  });
});
