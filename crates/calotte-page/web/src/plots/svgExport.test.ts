import { describe, expect, it } from 'vitest';
import { escapeXml, plainColour, safeFileName, styleAttributes, svgText } from './svgExport';
import type { DrawnNode } from './svgExport';

type Styles = Record<string, string>;
interface FakeNode extends DrawnNode {
  style?: Styles;
  childNodes: FakeNode[];
}

function element(name: string, own: Styles = {}, style: Styles = {}, inside: FakeNode[] = []) {
  const attributes = Object.entries(own).map(([key, value]) => ({ name: key, value }));
  const node: FakeNode = {
    nodeType: 1,
    nodeName: name,
    textContent: null,
    attributes,
    childNodes: inside,
    style,
  };
  return node;
}
const words = (text: string): FakeNode => ({
  nodeType: 3,
  nodeName: '#text',
  textContent: text,
  childNodes: [],
});
const styleOf = (node: FakeNode) => (property: string) => node.style?.[property] ?? '';

function write(inside: FakeNode[], slots?: Record<string, string>): string {
  return svgText(element('svg', {}, {}, inside), styleOf, {
    title: 'Mass < 2 & more',
    width: 300,
    height: 200,
    background: 'rgb(255, 254, 251)',
    slots,
  });
}

// Expected texts follow from the SVG 2 rules for presentation attributes, by hand.
describe('svgText', () => {
  it('opens with size, title and ground, with a margin of 12 all around', () => {
    const text = write([]);
    expect(text).toContain('width="324" height="224" viewBox="-12 -12 324 224"');
    expect(text).toContain('<title>Mass &lt; 2 &amp; more</title>');
    expect(text).toContain('fill="#fffefb"');
  });

  it('writes computed colours as attributes and drops what is of the page only', () => {
    const style = { fill: 'none', stroke: 'rgb(154, 59, 18)', 'stroke-width': '1.8px' };
    const text = write([element('path', { d: 'M0 0', class: 's-x', 'data-a': '1' }, style)]);
    expect(text).toContain('<path d="M0 0" fill="none" stroke="#9a3b12" stroke-width="1.8"/>');
  });

  it('leaves out the cursor and what is not shown', () => {
    const text = write([
      element('g', { 'data-transient': '' }, {}, [element('circle', { r: '1' })]),
      element('rect', {}, { display: 'none' }),
    ]);
    expect(text).not.toContain('circle');
    expect(text.match(/<rect/g)).toHaveLength(1);
  });

  it('keeps the names of what is referred to', () => {
    const text = write([
      element('clipPath', { id: 'c1' }),
      element('g', { id: 'gone', 'clip-path': 'url(#c1)' }),
    ]);
    expect(text).toContain('<clipPath id="c1"/>');
    expect(text).toContain('<g clip-path="url(#c1)"/>');
  });

  it('fills slots and escapes text', () => {
    const text = write(
      [element('g', { 'data-slot': 'dots' }), element('text', {}, {}, [words('a<b')])],
      {
        dots: '<circle r="2"/>',
      },
    );
    expect(text).toContain('<g><circle r="2"/></g>');
    expect(text).toContain('>a&lt;b</text>');
  });
});

describe('styles', () => {
  it('splits opacity off a colour', () => {
    expect(plainColour('rgba(255, 0, 0, 0.5)')).toEqual({ colour: '#ff0000', opacity: 0.5 });
    expect(plainColour('color(srgb 1 0.5 0 / 0.25)')).toEqual({ colour: '#ff8000', opacity: 0.25 });
    expect(plainColour('rgba(0, 0, 0, 0)').colour).toBe('none');
    expect(plainColour('url("#h")').colour).toBe('url(#h)');
  });

  it('leaves out what SVG takes anyway, and stroke details without a stroke', () => {
    const style: Styles = {
      fill: 'rgb(0, 0, 0)',
      stroke: 'none',
      'stroke-width': '4px',
      opacity: '1',
    };
    expect(styleAttributes('rect', (property) => style[property] ?? '').size).toBe(0);
    expect(styleAttributes('defs', () => 'rgb(1, 1, 1)').size).toBe(0);
  });

  it('escapes quotes and makes file names safe', () => {
    expect(escapeXml('"a" > b')).toBe('&quot;a&quot; &gt; b');
    expect(safeFileName('../a b/c:d')).toBe('a-b-c-d');
    expect(safeFileName('///')).toBe('figure');
  });
});
