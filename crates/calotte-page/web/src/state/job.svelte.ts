/** A long job of the program as the page sees it: begun, waiting, done, stopped, failed. */
import { job, Refusal } from '../api/client';

export type JobStanding = 'none' | 'computing' | 'waiting' | 'fresh' | 'stopped' | 'failed';

export class LongJob<Part, Done> {
  standing = $state<JobStanding>('none');
  refusal = $state.raw<Refusal | null>(null);
  readonly #path: string;
  #abort: AbortController | null = null;

  /** `path` is the address of the job. */
  constructor(path: string) {
    this.#path = path;
  }

  get running(): boolean {
    return this.standing === 'computing' || this.standing === 'waiting';
  }

  /** Begins; what ran before is stopped and no longer heard. */
  async begin(body: unknown, heard: { part(part: Part): void; done(done: Done): void }) {
    this.#abort?.abort();
    const mine = new AbortController();
    this.#abort = mine;
    this.standing = 'computing';
    this.refusal = null;
    try {
      const done = await job<Part, Done>(
        this.#path,
        body,
        {
          part: (part) => {
            if (this.#abort !== mine) return;
            heard.part(part);
            this.standing = 'computing';
          },
          waiting: () => {
            if (this.#abort === mine) this.standing = 'waiting';
          },
        },
        mine.signal,
      );
      if (this.#abort !== mine || mine.signal.aborted) return;
      heard.done(done);
      this.standing = 'fresh';
    } catch (error) {
      if (this.#abort !== mine || mine.signal.aborted) return;
      this.refuse(error);
    }
  }

  /** Stops the job, in the program too; what came so far stays. */
  stop(): void {
    this.#abort?.abort();
    this.standing = 'stopped';
  }

  refuse(error: unknown): void {
    this.refusal = error instanceof Refusal ? error : new Refusal(500, String(error));
    this.standing = 'failed';
  }
}
