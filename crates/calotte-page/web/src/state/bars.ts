/** Arcs and bends of the lists, and what single bars state of their own. */
import type { DesignFile } from '../api/types';

type Linkage = DesignFile['linkage'];
type Bar = NonNullable<Linkage['bar']>[number];

/** A list of a scissor linkage. */
export type ArcList = 'proximal_arcs_deg' | 'distal_arcs_deg' | 'bends_deg';

/** The key that the bars of an entry have for it, and their number; 0 for base bars. */
function ofBars(list: ArcList, place: number): { key: keyof Bar; number: number } {
  if (list === 'proximal_arcs_deg') {
    return place === 0
      ? { key: 'first_arc_deg', number: 0 }
      : { key: 'second_arc_deg', number: place };
  }
  const key = list === 'distal_arcs_deg' ? 'first_arc_deg' : 'bend_deg';
  return { key, number: place + 1 };
}

/**
 * The linkage with one entry of a list typed: it holds for left and right, so that what either
 * bar stated of it goes. Otherwise the list would be their mean whatever is typed.
 */
export function withEntry(linkage: Linkage, list: ArcList, place: number, value: number): Linkage {
  const { key, number } = ofBars(list, place);
  const names = ['left', 'right'].map((side) =>
    number === 0 ? `base-${side}` : `bar-${side}-${number}`,
  );
  const values = [...(linkage[list] ?? [])];
  values[place] = value;
  const bars = (linkage.bar ?? [])
    .map((bar) => {
      if (!names.includes(bar.name)) return bar;
      const kept: Bar = { ...bar };
      delete kept[key];
      return kept;
    })
    .filter((bar) => Object.keys(bar).length > 1);
  const changed: Linkage = { ...linkage, [list]: values, bar: bars };
  if (bars.length === 0) delete changed.bar;
  return changed;
}
