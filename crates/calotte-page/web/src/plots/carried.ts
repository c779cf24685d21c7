/**
 * What every file carries that leaves the page: it will be read alone. The page says once what
 * it is; whatever is saved is given it here, and nowhere else.
 */

export interface Carried {
  /** One sentence, seen in a drawing. */
  first: string;
  /** A paragraph, for descriptions and tables. */
  notice: string;
}

let carried: Carried = { first: '', notice: '' };

/** Says what files that are saved from now on carry. */
export function carry(words: Carried): void {
  carried = words;
}

/** Height of the strip below a drawing, px. */
const STRIP = 18;

/** A file's text with what it carries, by its media type. */
export function carrying(text: string, mediaType: string, words: Carried = carried): string {
  if (words.notice === '') return text;
  if (mediaType === 'text/csv') return noted(text, words.notice);
  if (mediaType === 'image/svg+xml') return underlined(text, words);
  return text;
}

/** Where each record of a table ends, line ends within quotes left alone. */
function records(table: string): string[] {
  const found: string[] = [];
  let from = 0;
  let quoted = false;
  for (let at = 0; at < table.length; at += 1) {
    if (table[at] === '"') quoted = !quoted;
    if (table[at] === '\n' && !quoted) {
      found.push(table.slice(from, at).replace(/\r$/, ''));
      from = at + 1;
    }
  }
  if (from < table.length) found.push(table.slice(from));
  return found;
}

/**
 * A table with a last column `note`, which holds the notice in its first row: most readers of
 * tables know no remarks. One that begins with remarks has them from the program.
 */
function noted(table: string, notice: string): string {
  if (table.startsWith('#')) return table;
  const [head, ...rows] = records(table);
  if (head === undefined) return table;
  const cell = `"${notice.replaceAll('"', '""')}"`;
  const lines = rows.map((row, index) => `${row},${index === 0 ? cell : ''}`);
  // A table without rows has its notice in a row of its own, as wide as the others.
  const columns = head.split(',').length;
  if (lines.length === 0) lines.push(','.repeat(columns) + cell);
  return `${[`${head},note`, ...lines].join('\n')}\n`;
}

const escaped = (text: string) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

/** A drawing with the sentence on a strip below it and the paragraph in its description. */
function underlined(svg: string, { first, notice }: Carried): string {
  const root = /<svg\b[^>]*>/.exec(svg)?.[0];
  const box = root && /viewBox="([^"]+)"/.exec(root)?.[1]?.trim().split(/\s+/).map(Number);
  if (!root || !box || box.length !== 4) return svg;
  const [left, top, width, height] = box as [number, number, number, number];
  const scale = Number(/\bheight="([\d.]+)"/.exec(root)?.[1] ?? height) / height;
  const grown = root
    .replace(/viewBox="[^"]+"/, `viewBox="${left} ${top} ${width} ${height + STRIP}"`)
    .replace(/(\sheight=")[\d.]+/, `$1${(height + STRIP) * scale}`);
  // Narrow drawings get smaller letters rather than a cut sentence.
  const size = Math.min(11, width / 30);
  const strip = [
    `<rect x="${left}" y="${top + height}" width="${width}" height="${STRIP}" fill="#ffffff"/>`,
    `<text x="${left + 6}" y="${top + height + 13}" font-family="Helvetica, Arial, sans-serif"`,
    ` font-size="${size}" fill="#1b222a">${escaped(first)}</text>`,
  ].join('');
  const described = svg.includes('<desc>')
    ? svg.replace('</desc>', () => ` ${escaped(notice)}</desc>`)
    : svg.replace(root, () => `${root}\n<desc>${escaped(notice)}</desc>`);
  const end = described.lastIndexOf('</svg>');
  return (described.slice(0, end) + strip + '\n' + described.slice(end)).replace(root, () => grown);
}
