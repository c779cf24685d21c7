/** What was done, to be taken back: whole states, the oldest dropped first. */
export class History<T> {
  #past: T[] = [];
  #future: T[] = [];
  readonly #most: number;

  constructor(most = 200) {
    this.#most = most;
  }

  /** Remembers the state before a change; what had been taken back is gone. */
  record(before: T): void {
    this.#past.push(before);
    if (this.#past.length > this.#most) this.#past.shift();
    this.#future = [];
  }

  /** The state before, given the present one; null if there is none. */
  back(now: T): T | null {
    const before = this.#past.pop();
    if (before === undefined) return null;
    this.#future.push(now);
    return before;
  }

  /** The state that was taken back last, given the present one; null if there is none. */
  forward(now: T): T | null {
    const after = this.#future.pop();
    if (after === undefined) return null;
    this.#past.push(now);
    return after;
  }

  /** Everything that can be taken back or done again, the newest of each last. */
  get kept(): { past: T[]; future: T[] } {
    return { past: [...this.#past], future: [...this.#future] };
  }

  /** Puts back what was kept. */
  restore(kept: { past: T[]; future: T[] }): void {
    this.#past = kept.past.slice(-this.#most);
    this.#future = kept.future.slice(-this.#most);
  }

  get canGoBack(): boolean {
    return this.#past.length > 0;
  }

  get canGoForward(): boolean {
    return this.#future.length > 0;
  }
}
