/** Laying out a figure with one named row for each value. */
import { scaleLinear, scaleLog } from 'd3-scale';
import { LINE_HEIGHT, TICK_SIZE, type AxisRequest, type Layout } from './layout';
import { fitText, textWidth, wrapText } from './measure';
import { labelWithUnit } from './number';
import { linearTicks, logTicks } from './ticks';

/** One row of the figure. */
export interface Row {
  id: string;
  name: string;
  /** Null: the row has no value, and says so. */
  value: number | null;
  /** Half the length of the bar about the value. */
  error?: number;
  /** A band the value is held against. */
  band?: [number, number];
  /** A mark across the band. */
  nominal?: number;
  /** A second value, drawn as a small diamond. */
  second?: number;
  /** Whether the value is drawn filled. */
  filled: boolean;
  /** Whether the row is brought out. */
  off?: boolean;
  /** Words at the right end of the row. */
  note?: string;
}

export const ROW_HEIGHT = 20;

export interface RowsRequest {
  width: number;
  names: string[];
  notes: string[];
  x: AxisRequest;
  /** Height kept free above the plot. */
  head: number;
}

/** Span of the horizontal axis: every value with its error, band and mark. */
export function rowSpan(rows: Row[], { log = false, reference = null as number | null } = {}) {
  const all = rows.flatMap((row) => [
    ...(row.value === null
      ? []
      : [row.value, row.value + (row.error ?? 0), row.value - (row.error ?? 0)]),
    ...(row.band ?? []),
    ...(row.nominal === undefined ? [] : [row.nominal]),
    ...(row.second === undefined ? [] : [row.second]),
  ]);
  const wanted = [...all, ...(reference === null ? [] : [reference])].filter(
    (value) => Number.isFinite(value) && (!log || value > 0),
  );
  const [low, high] = [Math.min(...wanted), Math.max(...wanted)];
  if (!(low <= high)) return (log ? [0.1, 10] : [0, 1]) as [number, number];
  if (log) return [low / 1.4, high * 1.4] as [number, number];
  const margin = high > low ? 0.06 * (high - low) : Math.max(1e-9, 0.1 * Math.abs(high));
  const from = low >= 0 && low < 0.5 * high ? 0 : low - margin;
  return [from, high + margin] as [number, number];
}

/**
 * Names stand at the left, notes at the right; the plot takes what is left, at least half of
 * the width. A row lies at its index on the vertical axis.
 */
export function layOutRows(request: RowsRequest): Layout {
  const { width, names, notes, x, head } = request;
  const widest = (texts: string[]) => Math.max(0, ...texts.map((t) => textWidth(t, TICK_SIZE)));
  const noteRoom = Math.ceil(Math.min(widest(notes), 0.24 * width)) + (notes.length > 0 ? 12 : 0);
  const nameRoom = Math.min(widest(names) + 14, Math.max(80, 0.5 * width - noteRoom));
  const left = Math.ceil(nameRoom);
  const plotWidth = Math.max(60, Math.floor(width - left - Math.max(14, noteRoom)));
  const plotHeight = Math.max(1, names.length) * ROW_HEIGHT + 8;
  const top = head + 6;
  const scale = (x.log ? scaleLog() : scaleLinear())
    .domain(x.domain)
    .range([left, left + plotWidth]);
  const ticks = (x.log ? logTicks : linearTicks)({
    domain: x.domain,
    position: (value) => scale(value),
    room: plotWidth,
    extent: (label) => textWidth(label, TICK_SIZE),
    gap: 14,
  });
  const at = (index: number) => top + 4 + (index + 0.5) * ROW_HEIGHT;
  const labelLines = wrapText(labelWithUnit(x.label, x.unit), width - 4, 13);
  return {
    width,
    height: top + plotHeight + 30 + labelLines.length * LINE_HEIGHT,
    left,
    top,
    plotWidth,
    plotHeight,
    labelTop: 0,
    x: {
      scale: (value) => scale(value),
      invert: (px) => scale.invert(px),
      ticks,
      labelLines,
    },
    y: {
      scale: at,
      invert: (px) => (px - top - 4) / ROW_HEIGHT - 0.5,
      ticks: names.map((name, value) => ({ value, label: fitText(name, left - 14, TICK_SIZE) })),
      labelLines: [],
    },
  };
}
