import { Refusal } from '../api/client';

/** How an answer stands to the present design. */
export type Standing = 'none' | 'computing' | 'fresh' | 'partial' | 'stale' | 'failed';

/** An answer with how it stands. */
export class Piece<T> {
  value = $state.raw<T | null>(null);
  standing = $state<Standing>('none');
  refusal = $state.raw<Refusal | null>(null);

  /** The design changed: what is shown belongs to the one before. */
  age(): void {
    if (this.value !== null) this.standing = 'stale';
  }
  set(value: T, standing: Standing = 'fresh'): void {
    this.value = value;
    this.standing = standing;
    this.refusal = null;
  }
  /** There is nothing to be asked. */
  empty(): void {
    this.value = null;
    this.standing = 'none';
    this.refusal = null;
  }
  fail(error: unknown): void {
    this.refusal = error instanceof Refusal ? error : new Refusal(500, String(error));
    this.standing = 'failed';
  }
}
