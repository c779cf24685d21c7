import { describe, expect, it } from 'vitest';
import { cellAt, cellEdges, cellPaths } from './cells';
import { brushBetween, brushBox, grownBrush } from './brush';
import { byKind, circleMarkup, dotKind, kindClasses, thinLists } from './dots';
import { flow, overlaps, spread, stackRows } from './labels';
import { layOut, spanOf } from './layout';
import { allXs, lineLooks, pieces, readLine } from './lines';
import { fitText, textWidth, wrapText } from './measure';
import { PixelSheet } from './pixels';
import { lineLength, placeLabels, refine } from './placing';

// All expected values here are worked out by hand from the rule in each function's description.
describe('labels', () => {
  it('spread as little as needed', () => {
    expect(spread([10, 50], 15, 0, 100)).toEqual([10, 50]);
    expect(spread([50, 50], 10, 0, 100)).toEqual([45, 55]);
    expect(spread([98, 99], 10, 0, 100)).toEqual([90, 100]);
    expect(spread([30, 10, 30], 10, 0, 100)).toEqual([25, 10, 35]);
  });

  it('stack and flow without touching', () => {
    const spans = [
      { from: 0, to: 10 },
      { from: 5, to: 20 },
      { from: 25, to: 30 },
    ];
    expect(stackRows(spans, 2)).toEqual([0, 1, 0]);
    expect(flow([40, 40, 40], 100, 10)).toEqual([
      { x: 0, row: 0 },
      { x: 50, row: 0 },
      { x: 0, row: 1 },
    ]);
  });

  it('find free places on lines, or none', () => {
    const line = { points: [0, 20, 40, 60, 80].map((x) => ({ x, y: 50 })), width: 10, height: 10 };
    const bounds = { left: -10, top: 0, width: 120, height: 100 };
    expect(placeLabels([line, line], bounds, [])).toEqual([
      { x: 40, y: 50 },
      { x: 20, y: 50 },
    ]);
    expect(placeLabels([line], bounds, [bounds])).toEqual([null]);
    expect(overlaps(bounds, { ...bounds, left: 110 })).toBe(false);
  });

  it('measure and refine lines', () => {
    const line = [
      { x: 0, y: 0 },
      { x: 30, y: 40 },
    ];
    expect(lineLength(line)).toBe(50);
    expect(refine(line, 25)).toHaveLength(4);
  });

  it('wrap and shorten text', () => {
    expect(wrapText('one two three', textWidth('one two', 12), 12)).toEqual(['one two', 'three']);
    const short = fitText('a rather long name', 60, 12);
    expect(short).toMatch(/^a.*….*e$/);
    expect(textWidth(short, 12)).toBeLessThanOrEqual(60);
  });
});

describe('layout', () => {
  it('spans data with a margin, from zero if near', () => {
    expect(spanOf([2, 10])).toEqual([0, 10.4]);
    expect(spanOf([8, 10], { pad: 0.5 })).toEqual([7, 11]);
    expect(spanOf([1, 100], { log: true, pad: 0.5 })).toEqual([0.1, 1000]);
    expect(spanOf([-5, 1, 10, NaN], { log: true, pad: 0 })).toEqual([1, 10]);
    expect(spanOf([4])).toEqual([3.6, 4.4]);
    expect(spanOf([])).toEqual([0, 1]);
  });

  it.each([268, 480, 760, 1168])('keeps everything inside a width of %d', (width) => {
    const axis = { label: 'A label that is not short', unit: 'N·mm/rad' };
    const made = layOut({
      width,
      x: { ...axis, domain: [0, 100_000] },
      y: { ...axis, domain: [-0.0004, 0.0007] },
    });
    expect(made.left + made.plotWidth).toBeLessThanOrEqual(width);
    for (const tick of made.x.ticks) {
      const half = textWidth(tick.label, 12) / 2;
      expect(made.x.scale(tick.value) + half).toBeLessThanOrEqual(width);
      expect(made.x.scale(tick.value) - half).toBeGreaterThanOrEqual(0);
    }
    for (const tick of made.y.ticks) expect(textWidth(tick.label, 12)).toBeLessThan(made.left);
    expect(made.x.invert(made.x.scale(1234))).toBeCloseTo(1234, 8);
  });
});

describe('brush', () => {
  const axis = { label: 'A', unit: '', domain: [0, 10] as [number, number] };
  const made = layOut({ width: 500, x: axis, y: axis });
  const centre = { x: made.x.scale(5), y: made.y.scale(5) };

  it('is the same from any corner and ends at the plot', () => {
    const corner = { x: made.x.scale(7), y: made.y.scale(2) };
    const brush = brushBetween(made, centre, corner);
    expect(brushBetween(made, corner, centre)).toEqual(brush);
    [brush.x0, brush.x1, brush.y0, brush.y1].forEach((value, index) =>
      expect(value).toBeCloseTo([5, 7, 2, 5][index] ?? NaN, 9),
    );
    const outside = brushBetween(made, centre, { x: 9999, y: -9999 });
    expect(outside.x1).toBeCloseTo(10, 9);
    expect(outside.y1).toBeCloseTo(10, 9);
  });

  it('grows on the side of the key, by a twentieth of the plot', () => {
    const first = grownBrush(made, null, centre, 'ArrowUp');
    const second = grownBrush(made, brushBox(made, first), centre, 'ArrowUp');
    expect(second.y1 - first.y1).toBeCloseTo(0.5, 9);
    expect([second.x0, second.x1, second.y0].map((value) => value.toFixed(6))).toEqual(
      [first.x0, first.x1, first.y0].map((value) => value.toFixed(6)),
    );
  });
});

describe('lines', () => {
  const points: [number, number | null][] = [
    [1, 10],
    [2, null],
    [4, 40],
    [8, 80],
  ];
  it('read at, between and off points', () => {
    expect(readLine(points, 4)).toEqual({ value: 40, between: false });
    expect(readLine(points, 6)).toEqual({ value: 60, between: true });
    expect(readLine(points, 2)).toEqual({ value: null, between: false });
    expect(readLine(points, 3).value).toBeNull();
    expect(readLine(points, 9).value).toBeNull();
    expect(
      readLine(
        [
          [1, 1],
          [100, 10000],
        ],
        10,
        true,
        true,
      ).value,
    ).toBeCloseTo(100, 10);
  });

  it('break at gaps', () => {
    expect(pieces(points, () => true)).toHaveLength(2);
    expect(pieces(points, (_, y) => y > 10)).toEqual([
      [
        [4, 40],
        [8, 80],
      ],
    ]);
    expect(allXs([{ points }, { points: [[3, 1]] }])).toEqual([1, 2, 3, 4, 8]);
  });

  it('look different without being asked', () => {
    const looks = lineLooks(Array.from({ length: 6 }, () => ({}))).map((look) =>
      JSON.stringify(look),
    );
    expect(new Set(looks).size).toBe(6);
    expect(lineLooks([{ tone: 'soft', dashed: true }])[0]?.pattern).toBeDefined();
  });
});

describe('cells', () => {
  it('meet half way', () => {
    expect(cellEdges([1, 2, 4])).toEqual([0.5, 1.5, 3, 5]);
    expect(cellEdges([0])).toEqual([-0.5, 0.5]);
    expect(cellAt([0, 1, 3], 2.5)).toBe(1);
    expect(cellAt([0, 1, 3], 3.5)).toBeNull();
  });

  it('share a path per colour; cells without value have their own', () => {
    const made = cellPaths([0, 10, 20], [20, 10, 0], [1, 1, 2, null], 1, 2);
    expect(made.filled.map((part) => part.index)).toEqual([0, 255]);
    expect(made.filled[0]?.path.match(/M/g)).toHaveLength(2);
    expect(made.empty).toBe('M10 0H20V10H10Z');
  });
});

describe('dots', () => {
  it('are sorted by kind', () => {
    expect(dotKind(true, false, true)).toBe(5);
    expect(kindClasses(6)).toEqual(['unmet', 'selected', 'front']);
    const lists = byKind(Uint8Array.from([1, 0, 5, 1]));
    expect(lists.map((list) => [...list])).toEqual([[1], [0, 3], [], [], [], [2], [], []]);
  });

  it('keep the whole front when thinned', () => {
    const kinds = Uint8Array.from({ length: 1000 }, (_, index) => (index % 100 === 0 ? 5 : 1));
    const thinned = thinLists(byKind(kinds), 110);
    expect(thinned[5]).toHaveLength(10);
    expect(thinned[1]?.length).toBeGreaterThan(95);
    expect(thinned.flat().length).toBeLessThanOrEqual(110);
    expect(new Set(thinned.flat()).size).toBe(thinned.flat().length);
  });

  it('are written as circles', () => {
    const look = { radius: 2, fill: 'rgb(0, 128, 0)', stroke: 'none', strokeWidth: 0, opacity: 1 };
    const text = circleMarkup(Float64Array.of(1.239), Float64Array.of(2), [[0]], [look]);
    expect(text).toBe('<g fill="#008000" opacity="1"><circle cx="1.24" cy="2" r="2"/></g>');
  });

  // Porter and Duff, "over": half red on nothing, then half blue: opacity 3/4, red 1/3, blue 2/3.
  it('are laid over each other, and cut at the edge', () => {
    const sheet = new PixelSheet(2, 1);
    sheet.lay({ size: 1, rgba: [255, 0, 0, 127.5] }, 0.5, 0.5);
    sheet.lay({ size: 1, rgba: [0, 0, 255, 127.5] }, 0.5, 0.5);
    sheet.lay({ size: 1, rgba: [9, 9, 9, 255] }, 7, 0.5);
    expect([...sheet.bytes()]).toEqual([85, 0, 170, 191, 0, 0, 0, 0]);
  });
});
