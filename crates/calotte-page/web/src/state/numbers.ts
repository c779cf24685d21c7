/** Numbers as they are written on the page. */

/** A number with so many digits after the point and a true minus sign. */
export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const negativeZero = /^-0(\.0*)?$/.test(text);
  return (negativeZero ? text.slice(1) : text).replace('-', '\u2212');
}

/** A number to about three significant digits, as the terminal prints it. */
export function three(value: number): string {
  const size = Math.abs(value);
  const digits = size >= 100 || size === 0 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3;
  return fixed(value, digits);
}

/** A number without needless digits. */
export function plain(value: number, digits = 4): string {
  if (value !== 0 && (Math.abs(value) >= 1e6 || Math.abs(value) < 1e-4)) {
    return value.toExponential().replace('e+', 'e').replace(/-/g, '\u2212');
  }
  const text = fixed(value, digits);
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/** What is allowed where a number lies outside its range; null inside. */
export function outside(value: number, min: number, max: number, unit = ''): string | null {
  if (value >= min && value <= max) return null;
  const of = (bound: number) =>
    `${plain(bound)}${unit === '' ? '' : unit === '°' ? '°' : `\u202f${unit}`}`;
  if (max === Infinity) return `at least ${of(min)}`;
  if (min === -Infinity) return `at most ${of(max)}`;
  return `from ${of(min)} to ${of(max)}`;
}

/** Words of the program in which no line ends between a number and its unit, sign or letter. */
export function bound(words: string): string {
  return words
    .replace(/([\d°]) × (?=\d)/g, '$1\u00a0×\u00a0')
    .replace(/([≥≤]|\b[A-Z]) (?=\d)/g, '$1\u00a0')
    .replace(/(\d) (?=[a-zA-Zµ%])/g, '$1\u00a0');
}

/** Reads a number as people type it: comma or point, true minus sign, a unit behind it. */
export function parse(text: string): number | null {
  const clean = text
    .trim()
    .replace(/\u2212/g, '-')
    .replace(/,/g, '.')
    .replace(/\s*(°|mm|N\/m|N·m\/rad|N·m|kg|GPa|MPa|N|%)$/u, '')
    .trim();
  if (!/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(clean)) return null;
  const value = Number(clean);
  return Number.isFinite(value) ? value : null;
}
