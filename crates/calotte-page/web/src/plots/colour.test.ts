import { interpolateViridis } from 'd3-scale-chromatic';
import { describe, expect, it } from 'vitest';
import { colourAt, contrast, inkOn, luminance, mapIndex, parseRgb, toHex } from './colour';
import { VIRIDIS } from './maps';

describe('maps', () => {
  // Ends and middle of viridis as published with the map (from memory).
  it('has the published colours of viridis', () => {
    expect(VIRIDIS[0]).toBe('#440154');
    expect(VIRIDIS[255]).toBe('#fde725');
    const middle = parseRgb(VIRIDIS[128] ?? '');
    [33, 145, 140].forEach((channel, index) => {
      expect(Math.abs((middle[index] ?? 0) - channel)).toBeLessThanOrEqual(2);
    });
  });

  // Property that the map is designed for: lightness rises from end to end.
  it('gets lighter all the way', () => {
    const light = VIRIDIS.filter((_, index) => index % 15 === 0).map((colour) =>
      luminance(parseRgb(colour)),
    );
    light.slice(1).forEach((value, index) => expect(value).toBeGreaterThan(light[index] ?? 1));
  });

  // The same library of colours for paper and page, against another one.
  it('is that of d3-scale-chromatic but for the last unit of a channel', () => {
    for (const [index, colour] of VIRIDIS.entries()) {
      const other = parseRgb(interpolateViridis(index / (VIRIDIS.length - 1)));
      parseRgb(colour).forEach((channel, k) =>
        expect(Math.abs(channel - (other[k] ?? 0))).toBeLessThanOrEqual(1),
      );
    }
  });

  // Derived: 255 steps over the span; ends hold outside it.
  it('looks values up', () => {
    expect(mapIndex(5, 0, 10)).toBe(128);
    expect(mapIndex(-3, 0, 10)).toBe(0);
    expect(mapIndex(99, 0, 10)).toBe(255);
    expect(mapIndex(4, 4, 4)).toBe(128);
    expect(colourAt(10, 0, 10)).toBe('#fde725');
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

  it('finds readable ink on every colour of the map', () => {
    for (const colour of VIRIDIS) {
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
