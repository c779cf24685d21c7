/** Escape closes what was opened last, and the focus goes back to what opened it. */
import type { Attachment } from 'svelte/attachments';

const open: (() => void)[] = [];

/** Until it is taken back, Escape closes this. */
export function onEscape(close: () => void): () => void {
  open.push(close);
  return () => {
    const at = open.lastIndexOf(close);
    if (at >= 0) open.splice(at, 1);
  };
}

/**
 * For what is shown as long as it is open: Escape closes it, and however it is closed the
 * focus that was inside goes back to the opener.
 */
export function opened(close: () => void, opener: () => HTMLElement | undefined): Attachment {
  return () => {
    const take = onEscape(() => {
      close();
      opener()?.focus();
    });
    return () => {
      take();
      // What had the focus is gone, and with it the focus.
      queueMicrotask(() => {
        if (document.activeElement === document.body) opener()?.focus();
      });
    };
  };
}

/** Closes what was opened last: a fold of the sheet around the focus, else the newest. */
export function escape(event: KeyboardEvent): void {
  if (event.key !== 'Escape' || event.defaultPrevented) return;
  // A dialogue closes itself.
  if (document.querySelector('dialog[open]')) return;
  const fold = (event.target as HTMLElement).closest?.('details[open]');
  if (fold instanceof HTMLDetailsElement) {
    fold.open = false;
    fold.querySelector('summary')?.focus();
  } else open.at(-1)?.();
}
