/** The work on the page with the files it belongs to, and how the browser keeps it. */
import type { DesignFile, DomeQuantity, LoadAsked } from '../api/types';
import type { OnDisk } from './disk.svelte';

export interface Work {
  design: DesignFile;
  brief: string | null;
  /** The files they belong to, so that what is taken back is never saved over another. */
  designFile: OnDisk | null;
  briefFile: OnDisk | null;
  savedDesign: DesignFile | null;
  savedBrief: string | null;
}

/** What of the page outlives a reload beside the work itself. */
export interface Tab {
  work: Work;
  past: Work[];
  future: Work[];
  colouring: {
    quantity: DomeQuantity;
    load: LoadAsked | null;
    rigid: boolean;
    asBuilt: boolean;
    showDeflected: boolean;
  };
  /** Hashes of files that this page wrote, by path. */
  written: Record<string, string>;
}

/** Keeps work for a page opened later in this browser over the same folder; null forgets it. */
export function keepWork(folder: string, work: Work | null): void {
  try {
    if (work === null) localStorage.removeItem(`calotte-work ${folder}`);
    else localStorage.setItem(`calotte-work ${folder}`, JSON.stringify(work));
  } catch {
    // A browser that keeps nothing: work then lives as long as the page.
  }
}

/** What an earlier page left unsaved; null if nothing, or if it cannot be read. */
export function keptWork(folder: string): Work | null {
  return read(() => localStorage, `calotte-work ${folder}`) as Work | null;
}

/** Keeps the state of this tab over a reload; of a long history the newest part that fits. */
export function keepTab(folder: string, tab: Tab): void {
  let most = Math.max(tab.past.length, tab.future.length);
  for (;;) {
    const past = tab.past.slice(Math.max(0, tab.past.length - most));
    const future = tab.future.slice(Math.max(0, tab.future.length - most));
    try {
      sessionStorage.setItem(`calotte-tab ${folder}`, JSON.stringify({ ...tab, past, future }));
      return;
    } catch {
      if (most === 0) return;
      most = Math.floor(most / 2);
    }
  }
}

/** The state of this tab before a reload; null if there is none. */
export function keptTab(folder: string): Tab | null {
  return read(() => sessionStorage, `calotte-tab ${folder}`) as Tab | null;
}

export type Theme = 'system' | 'light' | 'dark';

/** Light or dark, as it was chosen in this browser. */
export function keptTheme(): Theme {
  const kept = read(() => localStorage, 'calotte-theme');
  return kept === 'light' || kept === 'dark' ? kept : 'system';
}

export function keepTheme(theme: Theme): void {
  try {
    localStorage.setItem('calotte-theme', JSON.stringify(theme));
  } catch {
    // As long as the page lives.
  }
}

function read(storage: () => Storage, key: string): unknown {
  try {
    return JSON.parse(storage().getItem(key) ?? 'null');
  } catch {
    return null;
  }
}
