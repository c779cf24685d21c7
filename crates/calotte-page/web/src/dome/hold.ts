/**
 * A thing of the drawing in the hand. It stays under the point of the hand that took it: taken
 * beside its middle it does not leap there, and when the drawing is framed otherwise meanwhile (its
 * frame resized, colours come that reach further) it is where it was asked to be, not where the
 * hand happens to lie over the new picture.
 */
import type { SceneHold, Vec3 } from './types';

/** What is held. */
export interface Held {
  /** Base-frame unit vector where the thing is. */
  direction: Vec3;
  /** Radius at which its handle is drawn, mm; asked anew whenever it is needed. */
  radius(): number;
}

/** Where things are drawn, CSS pixels. */
export interface HoldOn {
  screenOf(direction: Vec3, radius: number): [number, number];
  sideOf(direction: Vec3, radius: number): Side;
  /** Null where the ray through the point misses the sphere. */
  directionOn(x: number, y: number, radius: number, side: Side): Vec3 | null;
  /** That of the silhouette where the ray misses the sphere. */
  edgeNear(x: number, y: number, radius: number): Vec3;
}

/** Of a sphere: the half that faces the eye, or the one behind. */
export type Side = 'front' | 'back';

export class Hold implements SceneHold {
  /** From the middle of the thing to the hand, CSS pixels. */
  private offset: [number, number] = [0, 0];
  /** Where the hand last asked it to be. */
  private wanted: Vec3;
  private side: Side;

  /** `hand`: where it is taken, CSS pixels. */
  constructor(
    private readonly on: HoldOn,
    private readonly held: Held,
    private hand: [number, number],
  ) {
    this.wanted = held.direction;
    this.side = on.sideOf(held.direction, held.radius());
    this.reframed();
  }

  /** The drawing is framed otherwise: the thing stays as asked, the hand has not moved. */
  reframed(): void {
    const [x, y] = this.on.screenOf(this.wanted, this.held.radius());
    this.offset = [this.hand[0] - x, this.hand[1] - y];
  }

  /**
   * Where the thing is asked to be when the hand is at a point. Beyond the edge of its sphere it
   * comes round to the front.
   */
  to(x: number, y: number): Vec3 {
    if (x === this.hand[0] && y === this.hand[1]) return this.wanted;
    this.hand = [x, y];
    const at: [number, number] = [x - this.offset[0], y - this.offset[1]];
    const found = this.on.directionOn(...at, this.held.radius(), this.side);
    if (found) this.wanted = found;
    else {
      this.side = 'front';
      this.wanted = this.on.edgeNear(...at, this.held.radius());
    }
    return this.wanted;
  }
}
