import { describe, expect, it } from 'vitest';
import { carrying } from './carried';

const words = {
  first: 'Design aid. Local codes come first.',
  notice: 'Design aid. Local codes come first. Bars & joints can trap, "shear" and crush.',
};

describe('what a saved file carries', () => {
  it('is the last column of a table, in its first row', () => {
    const table = 'a,b\n1,"two\nlines"\n3,4\n';
    expect(carrying(table, 'text/csv', words)).toBe(
      'a,b,note\n1,"two\nlines","Design aid. Local codes come first. Bars & joints can trap, ""shear"" and crush."\n3,4,\n',
    );
  });

  it('stands in a table without rows', () => {
    expect(carrying('a,b\n', 'text/csv', words)).toMatch(/^a,b,note\n,,"Design aid\./);
  });

  it('leaves a table to fill in as the program wrote it', () => {
    const table = '# Design aid. Local codes come first.\na,b\n1,2\n';
    expect(carrying(table, 'text/csv', words)).toBe(table);
  });

  it('is seen below a drawing and stands in its description', () => {
    const svg =
      '<svg xmlns="http://www.w3.org/2000/svg" width="200" height="100" viewBox="-4 -4 200 100">\n<title>t</title>\n<desc>What it shows.</desc>\n<g/>\n</svg>\n';
    const saved = carrying(svg, 'image/svg+xml', words);
    expect(saved).toContain('<desc>What it shows. Design aid. Local codes come first. Bars &amp; ');
    expect(saved).toContain(`>${words.first}</text>\n</svg>`);
    expect(saved).toContain(' width="200" height="118" viewBox="-4 -4 200 118">');
  });

  it('has a description made for it where a drawing has none', () => {
    const svg = '<svg viewBox="0 0 100 50"><g/></svg>';
    expect(carrying(svg, 'image/svg+xml', words)).toContain('<desc>Design aid.');
  });

  it('leaves out nothing where there are no words yet', () => {
    expect(carrying('a\n1\n', 'text/csv', { first: '', notice: '' })).toBe('a\n1\n');
  });
});
