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
