/** What the folder holds, as the program told it last. */
import * as api from '../api/client';
import type { Kind, Listed } from '../api/types';

/** A file as the page knows it; `sha256` null: not on disk, to be made anew. */
export interface OnDisk {
  path: string;
  sha256: string | null;
}

/** How a file on disk stands to what the page knows of it. */
export type OfDisk = 'same' | 'changed' | 'gone';

class Disk {
  listing = $state.raw<Listed[]>([]);
  /** Which folder it is; the browser keeps work apart by it. */
  folder = '';
  /** Whether there are more files than are listed. */
  more = $state(false);
  /** An answer that was asked for before something newer was learnt is not taken. */
  #asked = 0;
  #known = 0;

  async refresh(): Promise<void> {
    const asked = (this.#asked += 1);
    const { files, folder, more } = await api.files();
    if (asked < this.#known) return;
    this.#known = asked;
    this.listing = files;
    this.folder = folder;
    this.more = more;
  }

  /** What was just read or written is known before the next list comes. */
  note(path: string, sha256: string, kind: Kind, size: number): void {
    this.#known = this.#asked += 1;
    const others = this.listing.filter((one) => one.path !== path);
    this.listing = [...others, { path, sha256, kind, size }].sort((a, b) =>
      a.path < b.path ? -1 : 1,
    );
  }

  hashOf(path: string): string | null {
    return this.listing.find((one) => one.path === path)?.sha256 ?? null;
  }

  has(path: string): boolean {
    return this.listing.some((one) => one.path === path);
  }

  of(file: OnDisk | null): OfDisk {
    if (file === null || file.sha256 === null) return 'same';
    const now = this.listing.find((one) => one.path === file.path);
    if (now) return now.sha256 === file.sha256 ? 'same' : 'changed';
    // A file left off a long list may well be there.
    return this.more ? 'same' : 'gone';
  }

  /** The first free name like that of a path. */
  freeName(path: string): string {
    const stem = path.replace(/\.toml$/, '').replace(/-\d+$/, '');
    let number = 2;
    while (this.has(`${stem}-${number}.toml`)) number += 1;
    return `${stem}-${number}.toml`;
  }

  /** Measurements in the same folder as a path. */
  measuredBeside(path: string): string[] {
    const above = (of: string) => of.split('/').slice(0, -1).join('/');
    return this.listing
      .filter((one) => one.kind === 'points' || one.kind === 'weights')
      .map((one) => one.path)
      .filter((one) => above(one) === above(path));
  }
}

export const disk = new Disk();
