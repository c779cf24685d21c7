/** Primitives of a flat picture, and writing them as SVG nodes, SVG text or on a 2D canvas. */

export type Point = [number, number];

/** How a primitive is filled and stroked. Widths and dashes in CSS pixels. */
export interface Ink {
  fill?: string;
  /** Diagonal lines in this colour, over the fill if there is one. */
  hatch?: string;
  stroke?: string;
  width?: number;
  dash?: number[];
  opacity?: number;
  cap?: 'round' | 'butt';
}

/** What a primitive is, for styling and tests. */
export type Primitive = { role: string; ink: Ink } & (
  | { kind: 'path'; lines: Point[][]; closed: boolean }
  | { kind: 'circle'; at: Point; radius: number }
  | {
      kind: 'text';
      at: Point;
      text: string;
      size: number;
      anchor: 'start' | 'middle' | 'end';
      halo: string;
    }
);

export const FONT =
  "'Source Sans 3', 'Noto Sans', 'DejaVu Sans', 'Segoe UI', system-ui, sans-serif";

/** An element of an SVG document, before it is a node or text. */
export interface Element {
  name: string;
  attributes: Record<string, string>;
  children: Element[];
  text?: string;
}

const round = (value: number): string => String(Math.round(value * 100) / 100);

function pathData(lines: Point[][], closed: boolean): string {
  const parts = lines.filter((line) => line.length > 1);
  return parts
    .map((line) => {
      const body = line.map(([x, y]) => `${round(x)} ${round(y)}`).join('L');
      return `M${body}${closed ? 'Z' : ''}`;
    })
    .join('');
}

function inkAttributes(ink: Ink): Record<string, string> {
  const out: Record<string, string> = { fill: ink.fill ?? 'none' };
  if (ink.stroke) {
    out.stroke = ink.stroke;
    out['stroke-width'] = round(ink.width ?? 1);
    out['stroke-linejoin'] = 'round';
    out['stroke-linecap'] = ink.cap ?? 'butt';
    if (ink.dash) out['stroke-dasharray'] = ink.dash.map(round).join(' ');
  }
  if (ink.opacity !== undefined && ink.opacity < 1) out.opacity = round(ink.opacity);
  return out;
}

function elementOf(item: Primitive): Element {
  const attributes = { class: item.role, ...inkAttributes(item.ink) };
  if (item.kind === 'path') {
    return {
      name: 'path',
      attributes: { ...attributes, d: pathData(item.lines, item.closed) },
      children: [],
    };
  }
  const [x, y] = item.at.map(round) as [string, string];
  if (item.kind === 'circle') {
    const r = round(item.radius);
    return { name: 'circle', attributes: { ...attributes, cx: x, cy: y, r }, children: [] };
  }
  const halo = {
    stroke: item.halo,
    'stroke-width': '3',
    'stroke-linejoin': 'round',
    'paint-order': 'stroke',
  };
  const font = {
    'font-family': FONT,
    'font-size': round(item.size),
    'text-anchor': item.anchor,
  };
  return {
    name: 'text',
    attributes: { ...attributes, ...halo, ...font, x, y },
    children: [],
    text: item.text,
  };
}

function hatchPattern(id: string, colour: string): Element {
  const line = { d: 'M0 0V7', stroke: colour, 'stroke-width': '2.2' };
  return {
    name: 'pattern',
    attributes: {
      id,
      width: '7',
      height: '7',
      patternUnits: 'userSpaceOnUse',
      patternTransform: 'rotate(45)',
    },
    children: [{ name: 'path', attributes: line, children: [] }],
  };
}

/** The children of an SVG element for a picture. `prefix` keeps the names of patterns apart. */
export function elementsOf(items: Primitive[], prefix: string): Element[] {
  const colours = [...new Set(items.flatMap((item) => (item.ink.hatch ? [item.ink.hatch] : [])))];
  const name = (colour: string): string => `${prefix}-hatch-${colours.indexOf(colour)}`;
  const out: Element[] = [];
  if (colours.length > 0) {
    const patterns = colours.map((colour) => hatchPattern(name(colour), colour));
    out.push({ name: 'defs', attributes: {}, children: patterns });
  }
  for (const item of items) {
    if (item.kind === 'path' && item.lines.every((line) => line.length < 2)) continue;
    out.push(elementOf(item));
    if (!item.ink.hatch) continue;
    const fill = `url(#${name(item.ink.hatch)})`;
    const over: Primitive = { ...item, role: `${item.role} hatch`, ink: { fill } };
    out.push(elementOf(over));
  }
  return out;
}

const escaped = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');

function textOf(element: Element): string {
  const attributes = Object.entries(element.attributes)
    .map(([key, value]) => ` ${key}="${escaped(value)}"`)
    .join('');
  const inside = escaped(element.text ?? '') + element.children.map(textOf).join('');
  return inside
    ? `<${element.name}${attributes}>${inside}</${element.name}>`
    : `<${element.name}${attributes}/>`;
}

const NAMESPACE = 'http://www.w3.org/2000/svg';

/** A self-contained SVG document. */
export function documentOf(
  items: Primitive[],
  width: number,
  height: number,
  paper: string,
): string {
  const ground: Primitive = {
    role: 'paper',
    kind: 'path',
    lines: [
      [
        [0, 0],
        [width, 0],
        [width, height],
        [0, height],
      ],
    ],
    closed: true,
    ink: { fill: paper },
  };
  return `${textOf({
    name: 'svg',
    attributes: {
      xmlns: NAMESPACE,
      width: round(width),
      height: round(height),
      viewBox: `0 0 ${round(width)} ${round(height)}`,
    },
    children: elementsOf([ground, ...items], 'dome'),
  })}\n`;
}

function nodeOf(document: Document, element: Element): SVGElement {
  const node = document.createElementNS(NAMESPACE, element.name) as SVGElement;
  for (const [key, value] of Object.entries(element.attributes)) node.setAttribute(key, value);
  if (element.text !== undefined) node.append(document.createTextNode(element.text));
  for (const child of element.children) node.append(nodeOf(document, child));
  return node;
}

let drawings = 0;
/** A prefix for names that no other drawing of the page has. */
export function newPrefix(): string {
  drawings += 1;
  return `dome-${drawings}`;
}

/** Puts a picture into an SVG element in place of what was there. */
export function fillSvg(svg: SVGSVGElement, items: Primitive[], prefix: string): void {
  const nodes = elementsOf(items, prefix).map((element) => nodeOf(svg.ownerDocument, element));
  svg.replaceChildren(...nodes);
}

/** A picture as one group of nodes, for what is kept from one drawing to the next. */
export function groupOf(svg: SVGSVGElement, items: Primitive[], name: string): SVGElement {
  const group = svg.ownerDocument.createElementNS(NAMESPACE, 'g') as SVGElement;
  group.setAttribute('class', name);
  group.append(...elementsOf(items, name).map((element) => nodeOf(svg.ownerDocument, element)));
  return group;
}

function trace(context: CanvasRenderingContext2D, item: Primitive): void {
  context.beginPath();
  if (item.kind === 'circle') {
    context.arc(item.at[0], item.at[1], item.radius, 0, 2 * Math.PI);
  } else if (item.kind === 'path') {
    for (const line of item.lines) {
      line.forEach(([x, y], i) => (i === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
      if (item.closed) context.closePath();
    }
  }
}

/** Paints a picture on a 2D canvas whose unit is the CSS pixel. Hatches are left out. */
export function paint(context: CanvasRenderingContext2D, items: Primitive[]): void {
  context.lineJoin = 'round';
  for (const item of items) {
    const { fill, stroke, width, dash, opacity, cap } = item.ink;
    context.globalAlpha = opacity ?? 1;
    context.setLineDash(dash ?? []);
    context.lineCap = cap ?? 'butt';
    if (item.kind === 'text') {
      context.font = `${item.size}px ${FONT}`;
      context.textAlign = item.anchor === 'middle' ? 'center' : item.anchor;
      context.strokeStyle = item.halo;
      context.lineWidth = 3;
      context.strokeText(item.text, ...item.at);
      context.fillStyle = fill ?? '#000000';
      context.fillText(item.text, ...item.at);
      continue;
    }
    trace(context, item);
    if (fill) {
      context.fillStyle = fill;
      context.fill();
    }
    if (stroke) {
      context.strokeStyle = stroke;
      context.lineWidth = width ?? 1;
      context.stroke();
    }
  }
  context.globalAlpha = 1;
}

/** Convex hull, anticlockwise in a frame with y upwards (Andrew's monotone chain). */
export function hull(points: Point[]): Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const turn = (o: Point, a: Point, b: Point): number =>
    (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
  const chain = (list: Point[]): Point[] => {
    const out: Point[] = [];
    for (const point of list) {
      while (out.length > 1 && turn(out.at(-2) as Point, out.at(-1) as Point, point) <= 0) {
        out.pop();
      }
      out.push(point);
    }
    return out.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}
