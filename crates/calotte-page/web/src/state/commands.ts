/** The command lines that make the same figures and numbers. */
import { plain } from './numbers';

/** A word as a shell takes it. */
export const quoted = (word: string): string =>
  /^[A-Za-z0-9_./:=,+-]+$/.test(word) ? word : `'${word.replace(/'/g, "'\\''")}'`;

const ascii = (value: number): string => plain(value, 6).replace(/\u2212/g, '-');

export interface Named {
  /** File of the design; null as long as it was not saved. */
  design: string | null;
  brief: string | null;
}

const files = ({ design, brief }: Named): string =>
  quoted(design ?? 'design.toml') + (brief === null ? '' : ` --brief ${quoted(brief)}`);

export const analyse = (named: Named): string => `calotte analyse ${files(named)}`;

export const analyseJoints = (named: Named, joints: [number, number]): string =>
  `calotte analyse ${files(named)} --joints ${ascii(joints[0])},${ascii(joints[1])} --json`;

export const mapOver = (
  named: Named,
  asked: { x: string; y: string; show: string; line?: string; set?: string[]; at?: string },
): string => {
  const set = (asked.set ?? []).map((text) => ` --set ${quoted(text)}`).join('');
  const at = asked.at ? ` --at ${quoted(asked.at)}` : '';
  const line = asked.line ? ` --line ${quoted(asked.line)}` : '';
  return `calotte map ${files(named)} --x ${quoted(asked.x)} --y ${quoted(asked.y)} --show ${asked.show}${line}${set}${at}`;
};

export const compare = (first: string | null, second: string | null): string =>
  `calotte compare ${quoted(first ?? 'design.toml')} ${quoted(second ?? 'other.toml')}`;

export const search = (brief: string | null): string =>
  `calotte design ${quoted(brief ?? 'brief.toml')}`;

export const measureFit = (
  design: string | null,
  asked: { points: string; weights: string | null; hold: string[]; sag: boolean },
): string => {
  const weights = asked.weights === null ? '' : ` --weights ${quoted(asked.weights)}`;
  const hold = asked.hold.length === 0 ? '' : ` --hold ${quoted(asked.hold.join(','))}`;
  const sag = asked.sag ? ' --sag' : '';
  return `calotte measure fit ${quoted(design ?? 'design.toml')} ${quoted(asked.points)}${weights}${hold}${sag}`;
};

export const measurePlan = (
  design: string | null,
  asked: { count: number; repeated: number; times: number; noise_mm: number; gauge_mm: number },
): string =>
  `calotte measure plan ${quoted(design ?? 'design.toml')} --count ${asked.count} --repeated ${asked.repeated} --times ${asked.times} --noise-mm ${ascii(asked.noise_mm)} --gauge-mm ${ascii(asked.gauge_mm)} --out bench`;
