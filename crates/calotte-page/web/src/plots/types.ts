/** The three tones in which lines are drawn. */
export type Tone = 'first' | 'second' | 'soft';

/** How a line is drawn: its tone and, unless solid, its pattern of dashes in px. */
export interface LineLook {
  tone: Tone;
  pattern?: string;
}

/** One entry of the read-out under a figure. */
export interface ReadItem {
  name: string;
  value: string;
  swatch?: LineLook;
  /** Takes a whole row, for sentences. */
  wide?: boolean;
}

/** A place in the drawing, in px from its top left corner. */
export interface Place {
  x: number;
  y: number;
}

/** Where a pointer event happened within the drawing that listens to it. */
export function placeOf(event: MouseEvent): Place {
  const box = (event.currentTarget as Element).getBoundingClientRect();
  return { x: event.clientX - box.left, y: event.clientY - box.top };
}
