/** A small square picture: red, green, blue and opacity, each 0 to 255, row by row. */
export interface Stamp {
  size: number;
  rgba: ArrayLike<number>;
}

/**
 * A picture that very many stamps are laid on. Drawing pixel by pixel takes some tens of
 * milliseconds for 150 000 dots, the drawing calls of a canvas more than a second.
 */
export class PixelSheet {
  /** Red, green, blue (times opacity) and opacity, 0 to 1. */
  private readonly layers: Float32Array;

  constructor(
    readonly width: number,
    readonly height: number,
  ) {
    this.layers = new Float32Array(width * height * 4);
  }

  /** Lays a stamp over what is there, its middle at a pixel; what sticks out is cut off. */
  lay(stamp: Stamp, x: number, y: number): void {
    const { size, rgba } = stamp;
    const [left, top] = [Math.round(x - size / 2), Math.round(y - size / 2)];
    const { layers, width, height } = this;
    for (let row = Math.max(0, -top); row < size && top + row < height; row += 1) {
      for (let column = Math.max(0, -left); column < size && left + column < width; column += 1) {
        const from = (row * size + column) * 4;
        const cover = (rgba[from + 3] ?? 0) / 255;
        if (cover === 0) continue;
        const to = ((top + row) * width + left + column) * 4;
        const rest = 1 - cover;
        // Source over destination, with colours already times their opacity (Porter and Duff).
        for (let part = 0; part < 3; part += 1) {
          const colour = ((rgba[from + part] ?? 0) / 255) * cover;
          layers[to + part] = colour + rest * (layers[to + part] ?? 0);
        }
        layers[to + 3] = cover + rest * (layers[to + 3] ?? 0);
      }
    }
  }

  /** The picture as bytes, colours no longer times their opacity, as `ImageData` takes them. */
  bytes(): Uint8ClampedArray<ArrayBuffer> {
    const result = new Uint8ClampedArray(this.layers.length);
    for (let at = 0; at < result.length; at += 4) {
      const opacity = this.layers[at + 3] ?? 0;
      if (opacity === 0) continue;
      for (let part = 0; part < 3; part += 1) {
        result[at + part] = ((this.layers[at + part] ?? 0) / opacity) * 255;
      }
      result[at + 3] = opacity * 255;
    }
    return result;
  }
}
