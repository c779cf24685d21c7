/** The drawing without WebGL: a parallel projection as SVG. */
import { picture } from './drawing';
import { documentOf, fillSvg, groupOf, newPrefix, type Primitive } from './picture';
import { Camera } from './project';
import { SceneBase } from './state';

export class FlatScene extends SceneBase {
  readonly slow = false;

  private readonly prefix = newPrefix();
  /** The measured prototype, made anew only when it, the view or the theme changes. */
  private measured: SVGElement | null = null;
  private elements = 0;
  private spent = 0;

  constructor(private readonly element: SVGSVGElement) {
    super(new Camera(false));
  }

  private items(): Primitive[] {
    const { sight } = this;
    return sight ? picture(sight) : [];
  }

  protected render(): void {
    const began = performance.now();
    const { width, height } = this.camera;
    const items = this.items();
    this.element.setAttribute('viewBox', `0 0 ${width} ${height}`);
    fillSvg(this.element, items, this.prefix);
    const { items: measured, changed } = this.measuredMarks();
    if (changed) this.measured = groupOf(this.element, measured, 'measured-rows');
    if (this.measured) this.element.append(this.measured);
    this.elements = items.length + measured.length;
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
    const items = [...this.items(), ...this.measuredMarks().items];
    return documentOf(items, this.camera.width, this.camera.height, this.colours.paper);
  }

  override dispose(): void {
    super.dispose();
    this.element.replaceChildren();
  }
}
