import { describe, expect, it } from 'vitest';
import { outside } from '../state/numbers';

/** Sources of everything drawn, as text. */
const SOURCES = import.meta.glob<string>('../**/*.svelte', {
  eager: true,
  query: '?raw',
  import: 'default',
});

/** The range and unit of every number that can be typed on the page. */
function fields(): { at: string; min: number; max: number; unit: string }[] {
  return Object.entries(SOURCES).flatMap(([file, text]) =>
    [...text.matchAll(/<NumberField([\s\S]*?)\/>/g)].map((found) => {
      const words = found[1] ?? '';
      const bound = (name: string, none: number) => {
        const given = new RegExp(`\\b${name}=\\{([^}]*)\\}`).exec(words)?.[1];
        // Bounds that are computed lie between those of other tests.
        return given === undefined ? none : Number.isNaN(Number(given)) ? 7 : Number(given);
      };
      const unit = /\bunit="([^"]*)"/.exec(words)?.[1] ?? '';
      const label = /\blabel="([^"]*)"/.exec(words)?.[1] ?? '';
      return {
        at: `${file} ${label}`,
        min: bound('min', -Infinity),
        max: bound('max', Infinity),
        unit,
      };
    }),
  );
}

describe('the range of a number', () => {
  it('is said with its one end or with both', () => {
    expect(outside(0, 0.001, Infinity, 'mm')).toBe('at least 0.001\u202fmm');
    expect(outside(9, -Infinity, 8)).toBe('at most 8');
    expect(outside(200, 0.1, 179.9, '°')).toBe('from 0.1° to 179.9°');
    expect(outside(0.001, 0.001, Infinity)).toBeNull();
    expect(outside(-Infinity, -Infinity, Infinity)).toBeNull();
  });

  it('names no infinity for any field of the page', () => {
    const all = fields();
    expect(all.length).toBeGreaterThan(40);
    let said = 0;
    for (const { at, min, max, unit } of all) {
      for (const value of [min - 1, max + 1]) {
        if (!Number.isFinite(value)) continue;
        const words = outside(value, min, max, unit);
        expect(words, at).toMatch(/^(at least|at most|from) [−\d.e]+/);
        expect(words, at).not.toMatch(/infinity|nan|undefined/i);
        said += 1;
      }
    }
    expect(said).toBeGreaterThan(50);
  });
});
