/** Makes the drawing of the dome: with WebGL where the browser has it, else as SVG. */
import { FlatScene } from './flat';
import { GlScene } from './gl';
import type { Scene } from './types';

export type * from './types';
export { OUTWARD_STEPS, outwardColour } from './measured';
export { palette, bodyColour, rampColour, RAMP_SIZE } from './palette';

export interface MadeScene {
  scene: Scene;
  /** True if the drawing is the SVG projection. */
  flat: boolean;
  /** Why it is flat, for the reader; null if it is not. */
  reason: string | null;
}

/**
 * Draws on the canvas if it can, else into the SVG element; the caller shows the one that is used.
 */
export function createScene(
  canvas: HTMLCanvasElement,
  svgElement: SVGSVGElement,
  forceFlat = false,
): MadeScene {
  if (forceFlat) {
    return { scene: new FlatScene(svgElement), flat: true, reason: 'the flat picture was chosen' };
  }
  try {
    return { scene: new GlScene(canvas), flat: false, reason: null };
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    const reason = `this browser gives no WebGL (${message}); showing a flat projection instead`;
    return { scene: new FlatScene(svgElement), flat: true, reason };
  }
}
