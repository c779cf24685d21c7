import { PixelSheet, type Stamp } from './pixels';
import { plainColour } from './svgExport';

/** One dot drawn as SVG, in px; `key` tells it from the others. */
export interface Dot {
  key: number;
  kind: number;
  x: number;
  y: number;
  r: number;
}

/** How one kind of dot is drawn; colours as CSS writes computed colours. */
export interface DotLook {
  radius: number;
  fill: string;
  stroke: string;
  strokeWidth: number;
  opacity: number;
}

/** The kind of a dot, 0 to 7: met counts 1, selected 2, on the front 4. Drawn in rising order. */
export function dotKind(met: boolean, selected: boolean, front: boolean): number {
  return (met ? 1 : 0) + (selected ? 2 : 0) + (front ? 4 : 0);
}

/** How many kinds of dot there are. */
export const KINDS = 8;

/** Class names of a kind of dot. */
export function kindClasses(kind: number): string[] {
  return [
    kind & 1 ? 'met' : 'unmet',
    ...(kind & 2 ? ['selected'] : []),
    ...(kind & 4 ? ['front'] : []),
  ];
}

/**
 * Radius in px of a dot: smaller the more dots there are, larger on the front. Open rings are a
 * little larger than filled dots, so that they stay open.
 */
export function dotRadius(kind: number, count: number): number {
  if (kind & 4) return 4;
  const ring = kind & 1 ? 0 : 0.4;
  if (count > 50_000) return 1.1 + ring / 4;
  if (count > 20_000) return 1.4 + ring;
  return (count > 5_000 ? 1.9 : 2.7) + ring / 2;
}

/** Factor on the opacity of dots off the front: dense clouds show how dense they are. */
export function dotOpacity(kind: number, count: number): number {
  if (kind & 6) return 1;
  if (count > 50_000) return 0.5;
  return count > 5_000 ? 0.8 : 1;
}

/** Factor on the stroke of rings off the front: thin where very many small ones lie close. */
export function dotStroke(kind: number, count: number): number {
  return count > 20_000 && !(kind & 4) ? 0.55 : 1;
}

/** Sorts point indices by kind, so that each kind is drawn in one go. */
export function byKind(kinds: Uint8Array): Uint32Array[] {
  const counts = new Array<number>(KINDS).fill(0);
  for (const kind of kinds) counts[kind] = (counts[kind] ?? 0) + 1;
  const lists = counts.map((count) => new Uint32Array(count));
  const next = new Array<number>(KINDS).fill(0);
  kinds.forEach((kind, index) => {
    const place = next[kind] ?? 0;
    const list = lists[kind];
    if (list) list[place] = index;
    next[kind] = place + 1;
  });
  return lists;
}

/** One dot drawn once at the resolution of the screen, to be stamped many times. */
function stamp(look: DotLook, ratio: number): Stamp {
  const half = Math.ceil((look.radius + look.strokeWidth) * ratio) + 1;
  const canvas = document.createElement('canvas');
  const size = 2 * half;
  canvas.width = size;
  canvas.height = size;
  const context = canvas.getContext('2d');
  if (!context) return { size: 0, rgba: [] };
  context.globalAlpha = look.opacity;
  context.beginPath();
  context.arc(half, half, look.radius * ratio, 0, 2 * Math.PI);
  if (look.fill !== 'none') {
    context.fillStyle = look.fill;
    context.fill();
  }
  if (look.stroke !== 'none' && look.strokeWidth > 0) {
    context.strokeStyle = look.stroke;
    context.lineWidth = look.strokeWidth * ratio;
    context.stroke();
  }
  return { size, rgba: context.getImageData(0, 0, size, size).data };
}

/**
 * Draws all dots on a canvas of the given size in px, sharp on the screen at hand: first those
 * that are neither selected nor on the front, in the order of the points so that neither met nor
 * unmet always lies on top, then the selected ones, then the front.
 */
export function drawDots(
  canvas: HTMLCanvasElement,
  size: { width: number; height: number },
  xs: Float64Array,
  ys: Float64Array,
  kinds: Uint8Array,
  looks: DotLook[],
): void {
  const ratio = Math.max(1, window.devicePixelRatio);
  canvas.width = Math.round(size.width * ratio);
  canvas.height = Math.round(size.height * ratio);
  const context = canvas.getContext('2d');
  if (!context) return;
  const stamps = looks.map((look) => stamp(look, ratio));
  const sheet = new PixelSheet(canvas.width, canvas.height);
  for (const [lowest, highest] of [
    [0, 1],
    [2, 3],
    [4, 7],
  ] as const) {
    kinds.forEach((kind, index) => {
      const image = stamps[kind];
      const [x, y] = [xs[index] ?? NaN, ys[index] ?? NaN];
      if (!image || kind < lowest || kind > highest || !Number.isFinite(x + y)) return;
      sheet.lay(image, x * ratio, y * ratio);
    });
  }
  context.putImageData(new ImageData(sheet.bytes(), sheet.width, sheet.height), 0, 0);
}

/**
 * Chooses at most `most` indices: all of the front, and of the others evenly spaced ones. The
 * lists keep their kinds.
 */
export function thinLists(lists: Uint32Array[], most: number): number[][] {
  const total = lists.reduce((sum, list) => sum + list.length, 0);
  if (total <= most) return lists.map((list) => [...list]);
  const front = lists.reduce((sum, list, kind) => sum + (kind & 4 ? list.length : 0), 0);
  const take = (list: Uint32Array, share: number): number[] => {
    const count = Math.floor(list.length * share);
    return Array.from(
      { length: count },
      (_, index) => list[Math.floor((index * list.length) / count)] ?? 0,
    );
  };
  const frontShare = Math.min(1, front > 0 ? most / front : 1);
  const left = Math.max(0, most - Math.floor(front * frontShare));
  return lists.map((list, kind) =>
    take(list, kind & 4 ? frontShare : Math.min(1, left / (total - front))),
  );
}

/** Writes dots as SVG circles, grouped by kind, with colours as attributes. */
export function circleMarkup(
  xs: Float64Array,
  ys: Float64Array,
  lists: number[][],
  looks: DotLook[],
): string {
  const round = (value: number | undefined) => Math.round((value ?? 0) * 100) / 100;
  return lists
    .map((list, kind) => {
      const look = looks[kind];
      if (!look || list.length === 0) return '';
      const fill = plainColour(look.fill).colour;
      const stroke = plainColour(look.stroke).colour;
      const line =
        stroke === 'none' ? '' : ` stroke="${stroke}" stroke-width="${look.strokeWidth}"`;
      const circles = list.map(
        (index) => `<circle cx="${round(xs[index])}" cy="${round(ys[index])}" r="${look.radius}"/>`,
      );
      return `<g fill="${fill}"${line} opacity="${look.opacity}">${circles.join('')}</g>`;
    })
    .join('');
}
