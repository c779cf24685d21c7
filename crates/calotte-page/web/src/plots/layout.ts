import { scaleLinear, scaleLog } from 'd3-scale';
import { textWidth, wrapText } from './measure';
import { labelWithUnit } from './number';
import { linearTicks, logTicks, type Tick } from './ticks';

/** Font sizes in px; nothing is smaller than 11. */
export const TICK_SIZE = 12;
export const LABEL_SIZE = 13;
export const LINE_HEIGHT = 17;

const TICK_LENGTH = 5;

/** What is drawn along one side of the plot. */
export interface AxisRequest {
  label: string;
  unit: string;
  domain: [number, number];
  log?: boolean;
  integer?: boolean;
  /** Words after the unit, for example which direction is better. */
  remark?: string;
}

/** A laid out axis: from values to px and back, with its ticks and the lines of its label. */
export interface Axis {
  scale: (value: number) => number;
  invert: (px: number) => number;
  ticks: Tick[];
  labelLines: string[];
}

/** Where everything of a figure lies, in px from the top left corner of the drawing. */
export interface Layout {
  width: number;
  height: number;
  left: number;
  top: number;
  plotWidth: number;
  plotHeight: number;
  /** Top of the lines of the vertical axis label. */
  labelTop: number;
  x: Axis;
  y: Axis;
}

export interface LayoutRequest {
  width: number;
  x: AxisRequest;
  y: AxisRequest;
  /** Height kept free above everything, for a legend. */
  head?: number;
  /** Height kept free between the vertical axis label and the plot, for mark labels. */
  crown?: number;
  /** Width kept free at the right of the plot, for labels at line ends. */
  right?: number;
  /** Height of the plot over its width. */
  aspect?: number;
}

function makeScale(request: AxisRequest, from: number, to: number) {
  const scale = request.log ? scaleLog() : scaleLinear();
  scale.domain(request.domain).range([from, to]);
  return {
    scale: (value: number) => scale(value),
    invert: (px: number) => scale.invert(px),
  };
}

function makeTicks(
  request: AxisRequest,
  scale: (value: number) => number,
  room: number,
  extent: (label: string) => number,
  gap: number,
): Tick[] {
  const choose = request.log ? logTicks : linearTicks;
  return choose({
    domain: request.domain,
    position: scale,
    room,
    extent,
    gap,
    integer: request.integer,
  });
}

function labelLines(request: AxisRequest, room: number): string[] {
  const label = labelWithUnit(request.label, request.unit);
  if (!request.remark) return wrapText(label, room, LABEL_SIZE);
  const whole = `${label}, ${request.remark}`;
  if (textWidth(whole, LABEL_SIZE) <= room) return [whole];
  return [
    ...wrapText(`${label},`, room, LABEL_SIZE),
    ...wrapText(request.remark, room, LABEL_SIZE),
  ];
}

/**
 * Lays a figure out in the given width: the vertical label lies flat above the plot, margins
 * follow from the labels, and ticks are thinned until no two labels touch.
 */
export function layOut(request: LayoutRequest): Layout {
  const { width } = request;
  const estimate = Math.max(120, width - 56 - (request.right ?? 0));
  const plotHeight = Math.round(Math.min(400, Math.max(190, estimate * (request.aspect ?? 0.56))));
  const yLabelLines = labelLines(request.y, width - 4);
  const labelTop = request.head ?? 0;
  const top = labelTop + yLabelLines.length * LINE_HEIGHT + 8 + (request.crown ?? 0);

  const vertical = makeScale(request.y, top + plotHeight, top);
  const yTicks = makeTicks(request.y, vertical.scale, plotHeight, () => TICK_SIZE, 12);
  const widest = Math.max(...yTicks.map((tick) => textWidth(tick.label, TICK_SIZE)));
  const left = Math.ceil(Math.max(26, widest + TICK_LENGTH + 6));

  const draft = Math.max(60, width - left - Math.max(16, request.right ?? 0));
  const horizontalOver = (length: number) => {
    const axis = makeScale(request.x, left, left + length);
    const extent = (label: string) => textWidth(label, TICK_SIZE);
    return { axis, ticks: makeTicks(request.x, axis.scale, length, extent, 14) };
  };
  // The last label may stand out over the end of the axis: then the plot gets narrower.
  const overhang = horizontalOver(draft).ticks.reduce((most, tick) => {
    const end = horizontalEnd(tick, request.x, left, draft);
    return Math.max(most, end - width + 2);
  }, 0);
  const plotWidth = Math.floor(draft - Math.max(0, overhang));
  const { axis: horizontal, ticks: xTicks } = horizontalOver(plotWidth);
  const xLabelLines = labelLines(request.x, width - 4);
  const height = top + plotHeight + TICK_LENGTH + 20 + xLabelLines.length * LINE_HEIGHT + 4;
  return {
    width,
    height,
    left,
    top,
    plotWidth,
    plotHeight,
    labelTop,
    x: { ...horizontal, ticks: xTicks, labelLines: xLabelLines },
    y: { ...vertical, ticks: yTicks, labelLines: yLabelLines },
  };
}

function horizontalEnd(tick: Tick, request: AxisRequest, left: number, length: number): number {
  const { scale } = makeScale(request, left, left + length);
  return scale(tick.value) + textWidth(tick.label, TICK_SIZE) / 2;
}

/**
 * The span of an axis for the given values: a little wider than the data, from zero if the data
 * start near it, and never without width. Logarithmic spans are widened by a factor.
 */
export function spanOf(
  values: Iterable<number>,
  { log = false, pad = 0.05, fromZero = true } = {},
): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const value of values) {
    if (!Number.isFinite(value) || (log && value <= 0)) continue;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  if (low > high) return log ? [1, 10] : [0, 1];
  if (log) {
    const factor = high > low ? (high / low) ** pad : 2;
    return [low / factor, high * factor];
  }
  if (low === high) {
    const half = low === 0 ? 1 : Math.abs(low) * 0.1;
    return [low - half, high + half];
  }
  const margin = (high - low) * pad;
  const nearZero = fromZero && low >= 0 && low < 0.35 * high;
  return [nearZero ? 0 : low - margin, high + margin];
}
