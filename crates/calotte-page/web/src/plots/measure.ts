/** Share of the font size that an average character is wide, used where no canvas exists. */
const AVERAGE_WIDTH = 0.56;

let context: CanvasRenderingContext2D | null | undefined;
let family = 'sans-serif';
const known = new Map<string, number>();

function measuringContext(): CanvasRenderingContext2D | null {
  if (context === undefined) {
    context =
      typeof document === 'undefined' ? null : document.createElement('canvas').getContext('2d');
    if (context) {
      const root = getComputedStyle(document.documentElement);
      family = root.getPropertyValue('--text').trim() || family;
    }
  }
  return context;
}

/** Width in px of a text in the text font at the given size; estimated outside a browser. */
export function textWidth(text: string, size: number, bold = false): number {
  const canvas = measuringContext();
  if (!canvas) return text.length * size * AVERAGE_WIDTH;
  const key = `${size}${bold ? 'b' : 'n'}${text}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  canvas.font = `${bold ? '600 ' : ''}${size}px ${family}`;
  const width = canvas.measureText(text).width;
  if (known.size > 4000) known.clear();
  known.set(key, width);
  return width;
}

/** Breaks a text at spaces into lines no wider than `room` px; one long word stays whole. */
export function wrapText(text: string, room: number, size: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && textWidth(longer, size) > room) {
      lines.push(line);
      line = word;
    } else {
      line = longer;
    }
  }
  return line === '' ? lines : [...lines, line];
}

/**
 * Shortens a text with an ellipsis in its middle until it is no wider than `room` px: names that
 * differ only at the end still differ.
 */
export function fitText(text: string, room: number, size: number): string {
  if (textWidth(text, size) <= room) return text;
  for (let kept = text.length - 1; kept > 2; kept -= 1) {
    const head = Math.ceil(kept * 0.6);
    const shorter = `${text.slice(0, head).trimEnd()}…${text.slice(text.length - kept + head)}`;
    if (textWidth(shorter, size) <= room) return shorter;
  }
  return '…';
}
