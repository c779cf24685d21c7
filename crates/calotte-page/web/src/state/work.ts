/** The work on the page with the files it belongs to, and how the browser keeps it. */
import type { DesignFile } from '../api/types';

const KEPT = 'calotte-work';

/** A file on disk as the page knows it. */
export interface OnDisk {
  path: string;
  sha256: string;
}

export interface Work {
  design: DesignFile;
  brief: string | null;
  /** The files they belong to, so that what is taken back is never saved over another. */
  designFile: OnDisk | null;
  briefFile: OnDisk | null;
  savedDesign: DesignFile | null;
  savedBrief: string | null;
}

/** Keeps work for a page opened later in this browser; null forgets it. */
export function keepWork(work: Work | null): void {
  try {
    if (work === null) localStorage.removeItem(KEPT);
    else localStorage.setItem(KEPT, JSON.stringify(work));
  } catch {
    // A browser that keeps nothing: work then lives as long as the page.
  }
}

/** What an earlier page left unsaved; null if nothing, or if it cannot be read. */
export function keptWork(): Work | null {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? 'null');
  } catch {
    return null;
  }
}
