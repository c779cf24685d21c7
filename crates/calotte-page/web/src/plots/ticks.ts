import { tickIncrement, ticks as roundTicks } from 'd3-array';
import { formatNumber, superscript, trueMinus } from './number';

/** One tick of an axis; a tick with an empty label is drawn short and without text. */
export interface Tick {
  value: number;
  label: string;
}

/** What a tick function needs to know of the axis it serves. */
export interface TickRequest {
  /** Lowest and highest value of the axis. */
  domain: [number, number];
  /** Place of a value along the axis in px. */
  position: (value: number) => number;
  /** Length of the axis in px. */
  room: number;
  /** Length in px that a label takes along the axis. */
  extent: (label: string) => number;
  /** Free space in px between two labels. */
  gap: number;
  /** Only whole numbers are ticks. */
  integer?: boolean;
}

/** Decimal places that tell multiples of a round step apart: 2 for 0.05, 0 for 20. */
export function stepDecimals(step: number): number {
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}

/** Labels for evenly spaced ticks, all with the same number of decimal places. */
export function linearLabels(values: number[], step: number): string[] {
  const largest = Math.max(...values.map(Math.abs), step);
  if (largest >= 1e6 || step < 1e-4) {
    const digits = Math.max(1, Math.ceil(Math.log10(largest / step) + 1e-9) + 1);
    return values.map((value) => (Math.abs(value) < step / 2 ? '0' : formatNumber(value, digits)));
  }
  const decimals = stepDecimals(step);
  return values.map((value) =>
    Math.abs(value) < step / 2 ? '0' : trueMinus(value.toFixed(decimals)),
  );
}

/** Whether the labels, centred on their ticks, keep the gap between each other. */
export function labelsFit(ticks: Tick[], request: TickRequest): boolean {
  const labelled = ticks
    .filter((tick) => tick.label !== '')
    .map((tick) => ({ at: request.position(tick.value), half: request.extent(tick.label) / 2 }))
    .sort((one, other) => one.at - other.at);
  return labelled.every((label, index) => {
    const before = labelled[index - 1];
    return !before || label.at - label.half - (before.at + before.half) >= request.gap;
  });
}

/** Round, evenly spaced ticks: as many as can be labelled without touching, at least one. */
export function linearTicks(request: TickRequest): Tick[] {
  const [low, high] = request.domain;
  const most = Math.min(10, Math.max(1, Math.floor(request.room / 36)));
  for (let count = most; count >= 1 && high > low; count -= 1) {
    let values = roundTicks(low, high, count);
    let increment = tickIncrement(low, high, count);
    if (request.integer && increment < 1) {
      values = roundTicks(
        Math.ceil(low),
        Math.floor(high),
        Math.max(1, Math.floor(high) - Math.ceil(low)),
      );
      values = values.filter(Number.isInteger);
      increment = 1;
    }
    const step = increment < 0 ? -1 / increment : increment;
    const labels = linearLabels(values, step);
    const ticks = values.map((value, index) => ({ value, label: labels[index] ?? '' }));
    if (ticks.length > 0 && labelsFit(ticks, request)) return ticks;
  }
  const middle = request.integer ? Math.round((low + high) / 2) : (low + high) / 2;
  return [{ value: middle, label: formatNumber(middle, 3) }];
}

/** The label of a factor times a power of ten, plain or as a power, for example 5×10⁻⁵. */
function logLabel(factor: number, exponent: number, plain: boolean): string {
  if (plain) return formatNumber(Number(`${factor}e${exponent}`), 1);
  return `${factor === 1 ? '' : `${factor}×`}10${superscript(exponent)}`;
}

/**
 * Ticks of a logarithmic axis: 1, 2 and 5 of each decade if their labels have room, else the
 * decades, else every second decade and so on. All other whole multiples within a decade are
 * ticks without a label. An axis shorter than a decade falls back to round linear ticks.
 */
export function logTicks(request: TickRequest): Tick[] {
  const [low, high] = request.domain;
  if (!(low > 0) || high / low < 4) return linearTicks(request);
  const first = Math.floor(Math.log10(low) + 1e-9);
  const last = Math.floor(Math.log10(high) + 1e-9);
  const inside = (value: number) => value >= low * (1 - 1e-9) && value <= high * (1 + 1e-9);
  const all: { value: number; factor: number; exponent: number }[] = [];
  for (let exponent = first; exponent <= last; exponent += 1) {
    for (let factor = 1; factor <= 9; factor += 1) {
      const value = Number(`${factor}e${exponent}`);
      if (inside(value)) all.push({ value, factor, exponent });
    }
  }
  const choices: ((tick: { factor: number; exponent: number }) => boolean)[] = [
    ({ factor }) => factor === 1 || factor === 2 || factor === 5,
    ({ factor }) => factor === 1 || factor === 3,
  ];
  for (let every = 1; every <= last - first + 1; every += 1) {
    choices.push(({ factor, exponent }) => factor === 1 && (exponent - first) % every === 0);
  }
  const dense = last - first > 3;
  // One way of writing along the whole axis: plain from 0.001 to 100000, else as powers.
  const plain = low >= 9.99e-4 && high <= 1.001e5;
  for (const chosen of choices) {
    const ticks = all
      .filter((tick) => !dense || tick.factor === 1 || chosen(tick))
      .map((tick) => ({
        value: tick.value,
        label: chosen(tick) ? logLabel(tick.factor, tick.exponent, plain) : '',
      }));
    if (ticks.some((tick) => tick.label !== '') && labelsFit(ticks, request)) return ticks;
  }
  return linearTicks(request);
}
