import { expect, test } from 'vitest';
import type { DesignFile } from '../api/types';
import { withEntry } from './bars';

const linkage: DesignFile['linkage'] = {
  family: 'scissor-linkage',
  proximal_arcs_deg: [21.6, 22],
  distal_arcs_deg: [21.5, 23],
  bends_deg: [0.1],
  joint_radius_mm: 140,
  bar: [
    { name: 'base-left', first_arc_deg: 21.7 },
    { name: 'base-right', first_arc_deg: 21.5 },
    { name: 'bar-left-1', first_arc_deg: 21.4, second_arc_deg: 22.1, bend_deg: 0.3 },
    { name: 'bar-right-1', bend_deg: -0.1 },
  ],
};

test('what is typed into a list holds for both bars', () => {
  const base = withEntry(linkage, 'proximal_arcs_deg', 0, 24);
  expect(base.proximal_arcs_deg).toEqual([24, 22]);
  expect(base.bar?.map((bar) => bar.name)).toEqual(['bar-left-1', 'bar-right-1']);
  const second = withEntry(linkage, 'proximal_arcs_deg', 1, 24);
  expect(second.bar?.[2]).toEqual({ name: 'bar-left-1', first_arc_deg: 21.4, bend_deg: 0.3 });
  const bent = withEntry(linkage, 'bends_deg', 0, 2);
  expect(bent.bar?.map((bar) => bar.name)).toEqual(['base-left', 'base-right', 'bar-left-1']);
  expect(linkage.bar?.length).toBe(4);
});

test('without bars of their own nothing but the list changes', () => {
  const plain = { ...linkage };
  delete plain.bar;
  const changed = withEntry(plain, 'distal_arcs_deg', 1, 25);
  expect(changed).toEqual({ ...plain, distal_arcs_deg: [21.5, 25] });
  expect('bar' in changed).toBe(false);
});
