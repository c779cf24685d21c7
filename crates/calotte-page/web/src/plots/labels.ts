/** A span along an axis, in px. */
export interface Span {
  from: number;
  to: number;
}

/**
 * Moves labels apart along one axis so that neighbours keep `gap`, each as near as possible to
 * where it wants to be, all within `low` to `high`. The answer is in the order of the wishes.
 *
 * Neighbours that would touch are pooled into a block around their common mean (least squares),
 * as in isotonic regression.
 */
export function spread(wishes: number[], gap: number, low: number, high: number): number[] {
  interface Block {
    start: number;
    members: number[];
  }
  const order = wishes.map((_, index) => index).sort((a, b) => (wishes[a] ?? 0) - (wishes[b] ?? 0));
  const blocks: Block[] = [];
  const place = (members: number[]): number => {
    const sum = members.reduce(
      (total, index, rank) => total + (wishes[index] ?? 0) - rank * gap,
      0,
    );
    const length = (members.length - 1) * gap;
    return Math.max(low, Math.min(high - length, sum / members.length));
  };
  for (const index of order) {
    let block: Block = { start: place([index]), members: [index] };
    for (;;) {
      const before = blocks.at(-1);
      if (!before || before.start + before.members.length * gap <= block.start) break;
      blocks.pop();
      const members = [...before.members, ...block.members];
      block = { start: place(members), members };
    }
    blocks.push(block);
  }
  const places = new Array<number>(wishes.length).fill(0);
  for (const block of blocks) {
    block.members.forEach((index, rank) => (places[index] = block.start + rank * gap));
  }
  return places;
}

/** Puts spans into rows so that none touches another of its row; gives the row of each span. */
export function stackRows(spans: Span[], gap: number): number[] {
  const order = spans.map((_, index) => index);
  order.sort((a, b) => (spans[a]?.from ?? 0) - (spans[b]?.from ?? 0));
  const ends: number[] = [];
  const rows = new Array<number>(spans.length).fill(0);
  for (const index of order) {
    const span = spans[index];
    if (!span) continue;
    let row = ends.findIndex((end) => span.from >= end + gap);
    if (row < 0) row = ends.length;
    ends[row] = span.to;
    rows[index] = row;
  }
  return rows;
}

/** Flows items of the given widths into lines of at most `room` px, as words in a paragraph. */
export function flow(widths: number[], room: number, gap: number): { x: number; row: number }[] {
  let x = 0;
  let row = 0;
  return widths.map((width) => {
    if (x > 0 && x + width > room) {
      x = 0;
      row += 1;
    }
    const place = { x, row };
    x += width + gap;
    return place;
  });
}

/** A rectangle in px. */
export interface Box {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** Whether two rectangles share any area. */
export function overlaps(one: Box, other: Box): boolean {
  return (
    one.left < other.left + other.width &&
    other.left < one.left + one.width &&
    one.top < other.top + other.height &&
    other.top < one.top + one.height
  );
}

/** Whether a rectangle lies within another. */
export function within(inner: Box, outer: Box): boolean {
  return (
    inner.left >= outer.left &&
    inner.top >= outer.top &&
    inner.left + inner.width <= outer.left + outer.width &&
    inner.top + inner.height <= outer.top + outer.height
  );
}
