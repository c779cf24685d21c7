/** Parameters as rows of a figure, the best told first. */
import type { FoundParameter } from '../../api/types';
import type { Row } from '../../plots/rows';

export function toldRows(parameters: FoundParameter[], off: Set<string>): Row[] {
  return [...parameters]
    .sort((a, b) => b.signal_to_noise - a.signal_to_noise)
    .map((one) => ({
      id: one.name,
      name: one.name,
      value: one.signal_to_noise,
      filled: one.identifiable,
      off: off.has(one.name),
      note: off.has(one.name) ? 'off' : one.identifiable ? '' : 'held',
    }));
}
