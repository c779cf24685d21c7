/**
 * Finds the point nearest to a place, and all points in a rectangle, among very many: points are
 * sorted once into square cells of a grid, and only cells within reach are looked at.
 *
 * Coordinates are in px; points that are not finite are never found. Indices are those of the
 * arrays given.
 */
export class PointIndex {
  private readonly columns: number;
  private readonly rows: number;
  private readonly left: number;
  private readonly top: number;
  /** Where each cell starts in `members`; one more entry than cells. */
  private readonly starts: Uint32Array;
  private readonly members: Uint32Array;

  constructor(
    private readonly xs: ArrayLike<number>,
    private readonly ys: ArrayLike<number>,
    private readonly cell = 12,
  ) {
    let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
    let count = 0;
    for (let index = 0; index < xs.length; index += 1) {
      const [x, y] = [xs[index] ?? NaN, ys[index] ?? NaN];
      if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
      count += 1;
      left = Math.min(left, x);
      right = Math.max(right, x);
      top = Math.min(top, y);
      bottom = Math.max(bottom, y);
    }
    this.left = count > 0 ? left : 0;
    this.top = count > 0 ? top : 0;
    this.columns = count > 0 ? Math.floor((right - left) / cell) + 1 : 1;
    this.rows = count > 0 ? Math.floor((bottom - top) / cell) + 1 : 1;
    this.starts = new Uint32Array(this.columns * this.rows + 1);
    this.members = new Uint32Array(count);
    this.sort();
  }

  /** Sorts the points into cells by counting. */
  private sort(): void {
    const cells = new Int32Array(this.xs.length).fill(-1);
    for (let index = 0; index < cells.length; index += 1) {
      const [x, y] = [this.xs[index] ?? NaN, this.ys[index] ?? NaN];
      if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
      const cell = this.row(y) * this.columns + this.column(x);
      cells[index] = cell;
      this.starts[cell + 1] = (this.starts[cell + 1] ?? 0) + 1;
    }
    for (let cell = 1; cell < this.starts.length; cell += 1) {
      this.starts[cell] = (this.starts[cell] ?? 0) + (this.starts[cell - 1] ?? 0);
    }
    const next = this.starts.slice();
    cells.forEach((cell, index) => {
      if (cell < 0) return;
      const place = next[cell] ?? 0;
      this.members[place] = index;
      next[cell] = place + 1;
    });
  }

  private column(x: number): number {
    return Math.min(this.columns - 1, Math.max(0, Math.floor((x - this.left) / this.cell)));
  }

  private row(y: number): number {
    return Math.min(this.rows - 1, Math.max(0, Math.floor((y - this.top) / this.cell)));
  }

  /** Calls `visit` with every point of the cells that touch a rectangle. */
  private visit(x0: number, y0: number, x1: number, y1: number, visit: (index: number) => void) {
    const [lastColumn, lastRow] = [this.column(x1), this.row(y1)];
    for (let row = this.row(y0); row <= lastRow; row += 1) {
      const first = this.starts[row * this.columns + this.column(x0)] ?? 0;
      const end = this.starts[row * this.columns + lastColumn + 1] ?? 0;
      for (let place = first; place < end; place += 1) visit(this.members[place] ?? 0);
    }
  }

  /** The point nearest to a place and not farther than `reach` px, or null if there is none. */
  nearest(x: number, y: number, reach: number): number | null {
    let best: number | null = null;
    let least = reach * reach;
    this.visit(x - reach, y - reach, x + reach, y + reach, (index) => {
      const distance = ((this.xs[index] ?? 0) - x) ** 2 + ((this.ys[index] ?? 0) - y) ** 2;
      // Of points at the same place the first one counts, so that the answer does not vary.
      if (distance < least || (distance === least && (best === null || index < best))) {
        least = distance;
        best = index;
      }
    });
    return best;
  }

  /** All points within a rectangle, edges included, in the order of the arrays. */
  inside(x0: number, y0: number, x1: number, y1: number): number[] {
    const [left, right] = x0 <= x1 ? [x0, x1] : [x1, x0];
    const [top, bottom] = y0 <= y1 ? [y0, y1] : [y1, y0];
    const found: number[] = [];
    this.visit(left, top, right, bottom, (index) => {
      const [x, y] = [this.xs[index] ?? NaN, this.ys[index] ?? NaN];
      if (x >= left && x <= right && y >= top && y <= bottom) found.push(index);
    });
    return found.sort((a, b) => a - b);
  }
}
