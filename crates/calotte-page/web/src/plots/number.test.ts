import { describe, expect, it } from 'vitest';
import {
  formatCount,
  formatNumber,
  labelWithUnit,
  MINUS,
  NO_VALUE,
  superscript,
  withUnit,
} from './number';

// Expected texts are rounded by hand.
describe('formatNumber', () => {
  it.each([
    [0, 4, '0'],
    [12.3456, 4, '12.35'],
    [1234567, 3, '1.23×10⁶'],
    [12345, 3, '12300'],
    [999999, 3, '1×10⁶'],
    [0.000123456, 3, '0.000123'],
    [0.0000123456, 3, '1.23×10⁻⁵'],
    [2, 4, '2'],
    [0.1 + 0.2, 4, '0.3'],
  ])('writes %d with %d digits as %s', (value, digits, text) => {
    expect(formatNumber(value, digits)).toBe(text);
  });

  it('uses the true minus sign, also before a mantissa, and superscripts it in exponents', () => {
    expect(formatNumber(-1.5)).toBe('\u22121.5');
    expect(formatNumber(-2.5e-7)).toBe('\u22122.5×10⁻⁷');
    expect(superscript(-10)).toBe('⁻¹⁰');
    expect(MINUS).toBe('\u2212');
  });

  it('keeps zeros only when asked', () => {
    expect(formatNumber(2, 4, true)).toBe('2.000');
    expect(formatNumber(20, 2)).toBe('20');
  });

  it('says in words that there is no value', () => {
    for (const none of [null, undefined, NaN]) expect(formatNumber(none)).toBe(NO_VALUE);
    expect(withUnit(null, 'mm')).toBe(NO_VALUE);
    expect(formatNumber(-Infinity)).toBe('\u2212∞');
  });
});

describe('units and counts', () => {
  // SI brochure (9th edition), section 5.4.3: space before the unit, none before °.
  it('parts number and unit by a no-break space, the degree sign excepted', () => {
    expect(withUnit(3.25, 'N/mm')).toBe('3.25\u00a0N/mm');
    expect(withUnit(-30, '°')).toBe('\u221230°');
    expect(withUnit(7, '')).toBe('7');
  });

  it('brackets the unit of an axis', () => {
    expect(labelWithUnit('Mass', 'kg')).toBe('Mass (kg)');
    expect(labelWithUnit('Arms', '')).toBe('Arms');
  });

  it('groups long counts', () => {
    expect(formatCount(9999)).toBe('9999');
    expect(formatCount(150000)).toBe('150\u202f000');
    expect(formatCount(1234567)).toBe('1\u202f234\u202f567');
  });
});
