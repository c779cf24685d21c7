/** The drawing without WebGL: a parallel projection as SVG. */
import { picture } from './drawing';
import type { Sight } from './overlay';
import { documentOf, fillSvg, newPrefix, type Primitive } from './picture';
import { Camera } from './project';
import { SceneBase } from './state';

export class FlatScene extends SceneBase {
  readonly slow = false;

  private readonly prefix = newPrefix();
  private elements = 0;
  private spent = 0;

  constructor(private readonly element: SVGSVGElement) {
    super(new Camera(false));
  }

  private items(): Primitive[] {
    const { shape } = this.shown;
    if (!shape) return [];
    const { shown, camera, colours } = this;
    const sight: Sight = { shown, shape, camera, colours, hidden: (point) => this.hidden(point) };
    return picture(sight);
  }

  protected render(): void {
    const began = performance.now();
    const { width, height } = this.camera;
    const items = this.items();
    this.element.setAttribute('viewBox', `0 0 ${width} ${height}`);
    fillSvg(this.element, items, this.prefix);
    this.elements = items.length;
    this.spent = performance.now() - began;
  }

  /** Draw calls are elements; there are no triangles. */
  statistics(): { drawCalls: number; triangles: number; vertexUpdateMs: number } {
    return { drawCalls: this.elements, triangles: 0, vertexUpdateMs: this.spent };
  }

  busy(): boolean {
    return false;
  }

  svg(): string {
    return documentOf(this.items(), this.camera.width, this.camera.height, this.colours.paper);
  }

  override dispose(): void {
    super.dispose();
    this.element.replaceChildren();
  }
}
