/**
 * The prototype measured: which files, what was asked of them, what they said, and how it is
 * shown on the dome. Nothing is computed here; the numbers are those of `calotte measure fit`.
 */
import * as api from '../api/client';
import { Refusal } from '../api/client';
import type { DesignFile, FitAnswer, FitDocument, FitPart, MeasuredRow } from '../api/types';
import { disk } from './disk.svelte';
import { LongJob } from './job.svelte';
import { planned } from './planned.svelte';
import { session } from './session.svelte';

/** A file of measurements: one of the folder, or one picked from the disk. */
export type Source = { path: string } | { name: string; text: string };

export const nameOf = (source: Source): string => ('path' in source ? source.path : source.name);

/** What was asked, to tell whether an answer still belongs to it. */
interface Asked {
  design: DesignFile;
  /** The design's file; null as long as it has none. */
  path: string | null;
  points: Source;
  weights: Source | null;
  hold: string;
  sag: boolean;
  /** Hashes of the files of the folder as they were read. */
  hashes: [path: string, sha256: string][];
}

export interface Found extends FitAnswer {
  fit: FitDocument;
  asked: Asked;
}

/** Most characters of both files that a request carries beside its design. */
const TEXT_MAX = 3_600_000;

class Measured {
  /** As chosen; undefined: the file beside the design, if there is one. */
  chosenPoints = $state.raw<Source | null | undefined>(undefined);
  chosenWeights = $state.raw<Source | null | undefined>(undefined);
  /** Names of parameters that stay at the design's values, as typed. */
  hold = $state('');
  sag = $state(false);
  found = $state.raw<Found | null>(null);
  readonly job = new LongJob<FitPart, FitAnswer>('/api/measure/fit');
  /** How far the fit that runs has come, as the program says it. */
  far = $state.raw<FitPart | null>(null);

  /** Whether the dome shows the measured prototype. */
  shown = $state(false);
  when = $state<'before' | 'after'>('before');
  /** Magnification as typed; null: chosen by the page. */
  typed = $state<number | null>(null);
  /** Row under the pointer, and row chosen by hand or keyboard. */
  hovered = $state<number | null>(null);
  chosen = $state<number | null>(null);
  /** The configuration of weights whose loop is drawn. */
  station = $state(0);

  readonly at = $derived(this.hovered ?? this.chosen);
  readonly row = $derived(
    this.found?.fit.rows.find((one: MeasuredRow) => one.row === this.at) ?? null,
  );

  readonly points = $derived(
    this.chosenPoints === undefined ? this.#beside('points') : this.chosenPoints,
  );
  readonly weights = $derived(
    this.chosenWeights === undefined ? this.#beside('weights') : this.chosenWeights,
  );

  /** The file of a kind in the folder of the design. */
  #beside(kind: 'points' | 'weights'): Source | null {
    const folder = (path: string) => path.split('/').slice(0, -1).join('/');
    const design = session.designFile;
    if (!design) return null;
    const near = disk.listing.filter(
      (one) => one.kind === kind && folder(one.path) === folder(design.path),
    );
    const found = near.find((one) => one.path.endsWith(`${kind}.csv`)) ?? near[0];
    return found ? { path: found.path } : null;
  }

  /**
   * Files of measurements that belong to the design in a file: those loaded for it, and those
   * it was fitted against.
   */
  filesFor(path: string): string[] {
    if (session.designFile?.path !== path) return [];
    const fitted = this.found?.asked.path === path ? this.found.asked : null;
    const sources = [this.points, this.weights, fitted?.points, fitted?.weights];
    return [...new Set(sources.filter((one) => one != null).map(nameOf))];
  }

  /** Whether the design as it was read from its file, or written there, was fitted. */
  get fittedSaved(): boolean {
    const asked = this.found?.asked;
    return (
      asked !== undefined &&
      asked.path === (session.designFile?.path ?? null) &&
      JSON.stringify(asked.design) === JSON.stringify(session.savedDesign)
    );
  }

  /** Names to be held, one by one. */
  get held(): string[] {
    return this.hold
      .split(/[\s,;]+/)
      .map((name) => name.trim())
      .filter((name) => name !== '');
  }

  /** Holds a parameter, or lets it be fitted again. */
  toggleHeld(name: string): void {
    const held = this.held;
    const bare = (one: string) => one.replace(/_(deg|mm|urad_per_nm)$/, '');
    const rest = held.filter((one) => bare(one) !== bare(name));
    this.hold = (rest.length < held.length ? rest : [...held, name]).join(', ');
  }

  holds(name: string): boolean {
    const bare = (one: string) => one.replace(/_(deg|mm|urad_per_nm)$/, '');
    return this.held.some((one) => bare(one) === bare(name));
  }

  /** What has changed since it was asked; null if nothing. */
  get stale(): string | null {
    const { found } = this;
    if (!found) return null;
    const { asked } = found;
    if (JSON.stringify(asked.design) !== JSON.stringify(session.design)) {
      return 'of the design before';
    }
    const same = (a: Source | null, b: Source | null) =>
      a === b || (a !== null && b !== null && 'path' in a && 'path' in b && a.path === b.path);
    if (!same(asked.points, this.points) || !same(asked.weights, this.weights)) {
      return 'of other files';
    }
    if (asked.hold !== this.held.join(',') || asked.sag !== this.sag) return 'asked otherwise';
    for (const [path, sha256] of asked.hashes) {
      const now = disk.listing.find((one) => one.path === path);
      if (now?.sha256 !== sha256) return `of ${path} as it was before it changed on disk`;
    }
    return null;
  }

  async fit(): Promise<void> {
    const { design } = session;
    const { points, weights, sag } = this;
    if (!design || !points) return;
    this.job.standing = 'computing';
    this.far = null;
    const hashes: [string, string][] = [];
    const hold = this.held;
    let texts: (string | null)[];
    try {
      texts = await Promise.all(
        [points, weights].map(async (source) => {
          if (!source) return null;
          if ('text' in source) return source.text;
          const file = await api.file(source.path);
          hashes.push([file.path, file.sha256]);
          return file.text;
        }),
      );
      const length = texts.reduce((sum, text) => sum + (text?.length ?? 0), 0);
      if (length > TEXT_MAX) {
        throw new Refusal(
          413,
          `the files hold ${length} characters, more than the page can send`,
          'run `calotte measure fit`, which takes longer ones',
        );
      }
    } catch (error) {
      this.job.refuse(error);
      return;
    }
    // Stopped while the files were read.
    if (!this.job.running) return;
    const path = session.designFile?.path ?? null;
    const asked: Asked = { design, path, points, weights, hold: hold.join(','), sag, hashes };
    await this.job.begin(
      { design, points: texts[0], weights: texts[1], hold, sag },
      {
        part: (part) => {
          this.far = part;
        },
        done: (answer) => {
          const first = this.found === null;
          this.found = { ...answer, fit: answer.fit as FitDocument, asked };
          this.hovered = null;
          this.chosen = null;
          this.station = 0;
          if (first) this.shown = true;
          // Both at once would cover each other.
          if (this.shown) planned.shown = false;
        },
      },
    );
  }

  /** Chooses a row by number; the nearest there is. */
  choose(row: number): void {
    const rows = this.found?.fit.rows ?? [];
    let best: MeasuredRow | null = null;
    for (const one of rows) {
      if (!best || Math.abs(one.row - row) < Math.abs(best.row - row)) best = one;
    }
    this.chosen = best?.row ?? null;
    this.hovered = null;
  }

  /** The next row of the file in a direction. */
  step(by: 1 | -1): void {
    const rows = (this.found?.fit.rows ?? []).map((one) => one.row).sort((a, b) => a - b);
    const place = this.chosen === null ? -1 : rows.indexOf(this.chosen);
    const next = place < 0 ? (by > 0 ? rows[0] : rows.at(-1)) : rows[place + by];
    if (next !== undefined) this.choose(next);
  }

  /** Moves the tool to the readings of a row. */
  go(row: number): void {
    const found = this.found?.fit.rows.find((one) => one.row === row);
    if (!found) return;
    this.chosen = row;
    session.aim({ 'joints-deg': this.readings(found) });
  }

  /** The readings of a row or a loaded configuration, °. */
  readings(of: object): [number, number] {
    const [a, b] = this.found?.joints ?? ['', ''];
    const value = (name: string) => (of as Record<string, number>)[`${name}_deg`] ?? NaN;
    return [value(a), value(b)];
  }
}

export const measured = new Measured();

/** Reads a file picked from the disk. Throws a refusal for what is no text. */
export async function picked(file: File): Promise<Source> {
  if (file.size > TEXT_MAX) {
    throw new Refusal(
      413,
      `${file.name} has ${file.size} bytes, more than the page can send`,
      'run `calotte measure fit`, which takes longer ones',
    );
  }
  const bytes = new Uint8Array(await file.arrayBuffer());
  try {
    return { name: file.name, text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    throw new Refusal(
      422,
      `${file.name} is not text in UTF-8`,
      'save the table as text with separated values (CSV) in UTF-8',
    );
  }
}
