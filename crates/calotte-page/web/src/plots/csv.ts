/** One field of a table: text, a number, or nothing where there is no value. */
export type CsvField = string | number | boolean | null | undefined;

const SYMBOLS: [RegExp, string][] = [
  [/°/g, ' deg '],
  [/%/g, ' percent '],
  [/‰/g, ' permille '],
  [/[µμ]/g, 'u'],
  [/Ω/g, ' ohm '],
  [/²/g, '2'],
  [/³/g, '3'],
  [/⁴/g, '4'],
  [/⁻¹/g, ' per_unit '],
  [/\//g, ' per '],
];

/** Turns free text into lower case words joined by underscores, safe as a column name. */
function words(text: string): string {
  let plain = text;
  for (const [pattern, replacement] of SYMBOLS) plain = plain.replace(pattern, replacement);
  return plain
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '_')
    .replace(/^_+|_+$/g, '');
}

/**
 * The name of a column: label and unit in lower case without spaces, for example `Stiffness` in
 * `N/mm` gives `stiffness_n_per_mm`. A pure number has no unit part.
 */
export function columnName(label: string, unit = ''): string {
  return [words(label), words(unit)].filter((part) => part !== '').join('_') || 'value';
}

/** Makes every column name differ by numbering those that would repeat an earlier one. */
export function distinctNames(names: string[]): string[] {
  const used = new Set<string>();
  return names.map((name) => {
    let unique = name;
    for (let count = 2; used.has(unique); count += 1) unique = `${name}_${count}`;
    used.add(unique);
    return unique;
  });
}

/** Writes one field; text with a comma, quote or line break is quoted (RFC 4180, section 2). */
function field(value: CsvField): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : '';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  return /[",\r\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value;
}

/**
 * Writes a table as comma-separated values (RFC 4180): a line of column names, then the rows.
 * Numbers keep every digit; no value is an empty field.
 */
export function csvText(names: string[], rows: Iterable<CsvField[]>): string {
  const lines = [distinctNames(names).map(field).join(',')];
  for (const row of rows) lines.push(row.map(field).join(','));
  return `${lines.join('\r\n')}\r\n`;
}
