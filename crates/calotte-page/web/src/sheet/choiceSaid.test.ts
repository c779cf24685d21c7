import { render } from 'svelte/server';
import { describe, expect, it } from 'vitest';
import type { ChoiceSaid as Said } from '../api/types';
import { bound } from '../state/numbers';
import ChoiceSaid from './ChoiceSaid.svelte';

const said: Said = {
  candidate: 7,
  chosen: { label: 'Choice', words: 'Scissor linkage, 2 stages, R 140 mm' },
  rejected: ['alternatives rejected: scissor linkage, 1 stage (at best coverage 0.966)'],
  binds: { label: 'Governing', words: 'transmission angle and coverage' },
  nearest_need: null,
};
/** What a reader sees, in order, without tags. */
const text = (ended: { said: Said | null; reason: string | null }) =>
  render(ChoiceSaid, { props: { ended } })
    .body.replace(/<[^>]*>/g, '\n')
    .replace(/&lt;/g, '<')
    .replace(/\u00a0/g, ' ')
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '');

describe('what is said of the choice', () => {
  it('has the words of the program and no others', () => {
    expect(text({ said, reason: null })).toEqual([
      said.chosen.label,
      said.chosen.words,
      ...said.rejected,
      said.binds!.label,
      said.binds!.words,
    ]);
  });
  it('leaves out what is not said', () => {
    const bare = { ...said, rejected: [], binds: null };
    expect(text({ said: bare, reason: null })).toEqual([said.chosen.label, said.chosen.words]);
    expect(text({ said: null, reason: null })).toEqual([]);
  });
  it('lists each limit of the closest achievable requirement below its heading', () => {
    const nearest_need = {
      heading: 'Closest achievable requirement, which this design meets:',
      limits: ['Sag ≤ 2.5 mm (asked: 2.0 mm)', 'Coverage ≥ 0.97 (asked: 0.98)'],
    };
    const lines = text({ said: { ...said, nearest_need }, reason: null });
    expect(lines.slice(-3)).toEqual([nearest_need.heading, ...nearest_need.limits]);
  });
  it('says why nothing is said', () => {
    const lines = text({ said: null, reason: 'layers of 3 mm < pins of 4 mm' });
    expect(lines.join(' ')).toBe('The choice cannot be analysed: layers of 3 mm < pins of 4 mm');
  });
  it('keeps numbers with their units on one line and changes no word', () => {
    const words = 'arm × 36.5°, R 140 mm, 16 × 12 mm, 6061-T6 (142 feasible, ≥ 27.8 N/mm)';
    const seen = bound(words);
    expect(seen.replace(/\u00a0/g, ' ')).toBe(words);
    expect(seen.split(' ')).toEqual([
      'arm',
      '×',
      '36.5°,',
      'R\u00a0140\u00a0mm,',
      '16\u00a0×\u00a012\u00a0mm,',
      '6061-T6',
      '(142\u00a0feasible,',
      '≥\u00a027.8\u00a0N/mm)',
    ]);
  });
});
