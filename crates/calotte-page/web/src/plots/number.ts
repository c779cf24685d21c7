/** The true minus sign, U+2212: a hyphen is too short to be read as one. */
export const MINUS = '\u2212';

/** The words that stand wherever there is no value to show. */
export const NO_VALUE = 'no value';

const SUPERSCRIPT: Record<string, string> = {
  '-': '⁻',
  '0': '⁰',
  '1': '¹',
  '2': '²',
  '3': '³',
  '4': '⁴',
  '5': '⁵',
  '6': '⁶',
  '7': '⁷',
  '8': '⁸',
  '9': '⁹',
};

/** Writes an integer exponent in superscript characters, for example `-5` as `⁻⁵`. */
export function superscript(exponent: number): string {
  return [...String(exponent)].map((character) => SUPERSCRIPT[character] ?? character).join('');
}

/** Replaces the hyphen of a machine-written number by the true minus sign. */
export function trueMinus(text: string): string {
  return text.replace('-', MINUS);
}

/** Drops zeros after the decimal point that say nothing, and the point if it is left alone. */
function trimZeros(text: string): string {
  return text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text;
}

/**
 * Writes a number with the given count of significant digits.
 *
 * Values of 10⁶ and more, and below 10⁻⁴, are written as a mantissa and a power of ten. No
 * value (null, undefined or not a number) is written in words. Zeros at the end that carry no
 * digit are dropped unless `keepZeros` is set.
 */
export function formatNumber(
  value: number | null | undefined,
  digits = 4,
  keepZeros = false,
): string {
  if (value === null || value === undefined || Number.isNaN(value)) return NO_VALUE;
  if (!Number.isFinite(value)) return value < 0 ? `${MINUS}∞` : '∞';
  if (value === 0) return '0';
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  if (size >= 1e6 || size < 1e-4) {
    const [mantissa = '', exponent = '0'] = rounded.toExponential(digits - 1).split('e');
    const shown = keepZeros ? mantissa : trimZeros(mantissa);
    return `${trueMinus(shown)}×10${superscript(Number(exponent))}`;
  }
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  const fixed = rounded.toFixed(Math.min(decimals, 20));
  return trueMinus(keepZeros ? fixed : trimZeros(fixed));
}

/**
 * Writes a number with its unit. The unit follows after a no-break space, except the degree
 * sign of a plane angle, which stands close (SI brochure, section 5.4.3).
 */
export function withUnit(value: number | null | undefined, unit: string, digits = 4): string {
  const text = formatNumber(value, digits);
  if (text === NO_VALUE || unit === '') return text;
  return unit === '°' ? `${text}°` : `${text}\u00a0${unit}`;
}

/** Writes a whole number in groups of three, parted by narrow no-break spaces from 10 000 on. */
export function formatCount(count: number): string {
  const digits = String(count);
  return digits.length < 5 ? digits : digits.replace(/\B(?=(\d{3})+$)/g, '\u202f');
}

/** The name of an axis with its unit in brackets; a pure number has no brackets. */
export function labelWithUnit(label: string, unit: string): string {
  return unit === '' ? label : `${label} (${unit})`;
}
