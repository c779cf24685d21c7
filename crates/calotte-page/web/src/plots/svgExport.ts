import { carrying } from './carried';
import { toHex, type Rgb } from './colour';

/** The part of a document node that the writer reads; a browser's own nodes satisfy it. */
export interface DrawnNode {
  nodeType: number;
  nodeName: string;
  textContent: string | null;
  attributes?: Iterable<{ name: string; value: string }>;
  childNodes: Iterable<DrawnNode>;
}

/** Reads one computed style property of a node. */
export type StyleOf<Node> = (node: Node) => (property: string) => string;

export interface SvgOptions {
  title: string;
  description?: string;
  width: number;
  height: number;
  /** Colour of the ground as CSS writes it, or nothing for a transparent one. */
  background?: string;
  /** Markup that replaces the inside of elements with this `data-slot`. */
  slots?: Record<string, string>;
}

/** Free margin around a saved drawing, in px. */
const MARGIN = 12;

const ELEMENT = 1;
const TEXT = 3;

/** Shape properties with the value that SVG takes if the attribute is missing (SVG 2). */
const SHAPE_DEFAULTS: Record<string, string> = {
  fill: '#000000',
  'fill-opacity': '1',
  stroke: 'none',
  'stroke-opacity': '1',
  'stroke-width': '1',
  'stroke-dasharray': 'none',
  'stroke-linecap': 'butt',
  'stroke-linejoin': 'miter',
  opacity: '1',
  'shape-rendering': 'auto',
};
const TEXT_DEFAULTS: Record<string, string> = {
  ...SHAPE_DEFAULTS,
  'font-family': '',
  'font-size': '',
  'font-weight': '400',
  'font-style': 'normal',
  'text-anchor': 'start',
  'paint-order': 'normal',
};
const GROUP_DEFAULTS: Record<string, string> = { opacity: '1' };
const SHAPES = new Set(['path', 'line', 'rect', 'circle', 'ellipse', 'polyline', 'polygon']);

/** Attributes that mean something only inside the page. */
const DROPPED = /^(class|style|role|tabindex|id|on.*|aria-.*|data-.*|xmlns.*)$/;

/** Writes text so that it is safe inside XML, in an element as well as in an attribute. */
export function escapeXml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/** Splits a computed CSS colour into `#rrggbb` and opacity; `none` for fully transparent. */
export function plainColour(computed: string): { colour: string; opacity: number } {
  if (computed === 'none' || computed === 'transparent' || computed === '') {
    return { colour: 'none', opacity: 1 };
  }
  const reference = /^url\("?(#[^")]+)"?\)/.exec(computed);
  if (reference) return { colour: `url(${reference[1]})`, opacity: 1 };
  if (computed.startsWith('#')) return { colour: computed, opacity: 1 };
  const numbers = (computed.match(/-?\d*\.?\d+(e[-+]?\d+)?/g) ?? []).map(Number);
  const scale = computed.startsWith('color(') ? 255 : 1;
  const [red = 0, green = 0, blue = 0, opacity = 1] = numbers;
  if (opacity === 0) return { colour: 'none', opacity: 1 };
  return { colour: toHex([red, green, blue].map((part) => part * scale) as Rgb), opacity };
}

function defaultsFor(name: string): Record<string, string> | null {
  if (name === 'text') return TEXT_DEFAULTS;
  if (name === 'g') return GROUP_DEFAULTS;
  return SHAPES.has(name) ? SHAPE_DEFAULTS : null;
}

/** The style of one element as attributes, leaving out what SVG takes anyway. */
export function styleAttributes(
  name: string,
  read: (property: string) => string,
): Map<string, string> {
  const result = new Map<string, string>();
  const defaults = defaultsFor(name);
  if (!defaults) return result;
  for (const [property, standard] of Object.entries(defaults)) {
    let value = read(property).trim();
    if (property === 'fill' || property === 'stroke') {
      const { colour, opacity } = plainColour(value);
      value = colour;
      if (opacity < 1) result.set(`${property}-opacity`, String(opacity));
    }
    if (/^-?[\d.]+px$/.test(value)) value = value.slice(0, -2);
    if (property === 'stroke-dasharray') value = value.replaceAll('px', '');
    if (value !== '' && value !== standard) result.set(property, value);
  }
  if (!result.has('stroke')) {
    for (const key of [...result.keys()]) if (key.startsWith('stroke-')) result.delete(key);
  }
  return result;
}

function writeNode<Node extends DrawnNode>(
  node: Node,
  styleOf: StyleOf<Node>,
  options: SvgOptions,
): string {
  if (node.nodeType === TEXT) return escapeXml((node.textContent ?? '').trim());
  if (node.nodeType !== ELEMENT) return '';
  const name = node.nodeName;
  const own = new Map([...(node.attributes ?? [])].map(({ name: key, value }) => [key, value]));
  const read = styleOf(node);
  if (own.has('data-transient') || read('display') === 'none') return '';
  const attributes = new Map<string, string>();
  for (const [key, value] of own) {
    // Only what is referred to (clip paths, patterns, gradients) keeps its name.
    if (!DROPPED.test(key) || (key === 'id' && defaultsFor(name) === null)) {
      attributes.set(key, value);
    }
  }
  for (const [key, value] of styleAttributes(name, read)) attributes.set(key, value);
  const written = [...attributes].map(([key, value]) => ` ${key}="${escapeXml(value)}"`).join('');
  const slot = options.slots?.[own.get('data-slot') ?? ''];
  const inside =
    slot ??
    [...node.childNodes].map((child) => writeNode(child as Node, styleOf, options)).join('');
  return inside === '' ? `<${name}${written}/>` : `<${name}${written}>${inside}</${name}>`;
}

/**
 * Writes a drawing as a file that stands alone: computed colours and fonts become attributes,
 * the title becomes `<title>`, and what belongs to the page only (cursor, roles, classes) is
 * left out.
 */
export function svgText<Node extends DrawnNode>(
  root: Node,
  styleOf: StyleOf<Node>,
  options: SvgOptions,
): string {
  const [width, height] = [options.width + 2 * MARGIN, options.height + 2 * MARGIN];
  const box = `${-MARGIN} ${-MARGIN} ${width} ${height}`;
  const ground = plainColour(options.background ?? 'none').colour;
  const parts = [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="${box}">`,
    `<title>${escapeXml(options.title)}</title>`,
    options.description ? `<desc>${escapeXml(options.description)}</desc>` : '',
    ground === 'none'
      ? ''
      : `<rect x="${-MARGIN}" y="${-MARGIN}" width="${width}" height="${height}" fill="${ground}"/>`,
    ...[...root.childNodes].map((child) => writeNode(child as Node, styleOf, options)),
    '</svg>',
  ];
  return `<?xml version="1.0" encoding="UTF-8"?>\n${parts.filter((part) => part !== '').join('\n')}\n`;
}

/** A file name without its ending, free of characters that some system refuses. */
export function safeFileName(name: string): string {
  const cleaned = name.replace(/[^\p{L}\p{N}._-]+/gu, '-').replace(/^[-.]+|[-.]+$/g, '');
  return cleaned === '' ? 'figure' : cleaned;
}

/** Hands a text to the reader as a file, with what every file carries. */
export function saveText(fileName: string, text: string, mediaType: string): void {
  const address = URL.createObjectURL(
    new Blob([carrying(text, mediaType)], { type: `${mediaType};charset=utf-8` }),
  );
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  document.body.append(link);
  link.click();
  link.remove();
  // The download has its own hold on the data by the next turn of the event loop.
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}
