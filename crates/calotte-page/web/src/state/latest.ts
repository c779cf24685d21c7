/**
 * Runs a question at a time and remembers only the newest that came meanwhile: while the
 * tool is dragged the answers keep up with the hand, whatever a question takes.
 */
export class Latest {
  #running = false;
  #next: (() => Promise<void>) | null = null;

  /** Asks; if another question runs, this one replaces whatever waits. */
  ask(question: () => Promise<void>): void {
    this.#next = question;
    if (!this.#running) void this.#run();
  }

  /** Whether a question runs or waits. */
  get busy(): boolean {
    return this.#running;
  }

  async #run(): Promise<void> {
    this.#running = true;
    try {
      while (this.#next) {
        const question = this.#next;
        this.#next = null;
        await question();
      }
    } finally {
      this.#running = false;
    }
  }
}
