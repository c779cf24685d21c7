/** What to measure next: asked of the program, shown on the dome in its order. */
import type { DesignFile, PlanAnswer, PlanDocument } from '../api/types';
import { LongJob } from './job.svelte';
import { session } from './session.svelte';

class Planned {
  count = $state(30);
  repeated = $state(3);
  times = $state(5);
  noise_mm = $state(0.1);
  gauge_mm = $state(0.005);
  found = $state.raw<(PlanAnswer & { plan: PlanDocument; design: DesignFile }) | null>(null);
  /** Whether the dome shows it. */
  shown = $state(false);
  /** Place in the order of the row that the tool was moved to, from 1. */
  at = $state<number | null>(null);
  readonly job = new LongJob<never, PlanAnswer>('/api/measure/plan');

  get stale(): boolean {
    return (
      this.found !== null && JSON.stringify(this.found.design) !== JSON.stringify(session.design)
    );
  }

  async ask(): Promise<void> {
    const { design } = session;
    if (!design) return;
    const { count, repeated, times, noise_mm, gauge_mm } = this;
    await this.job.begin(
      { design, count, repeated, times, noise_mm, gauge_mm },
      {
        part: () => undefined,
        done: (answer) => {
          this.found = { ...answer, plan: answer.plan as PlanDocument, design };
          this.shown = true;
          this.at = null;
        },
      },
    );
  }

  /** Moves the tool to a row of the plan, counted from 1. */
  go(place: number): void {
    const rows = this.found?.plan.rows ?? [];
    const at = Math.min(rows.length, Math.max(1, Math.round(place)));
    const row = rows[at - 1];
    if (!row) return;
    this.at = at;
    session.aim({ 'joints-deg': row.readings_deg });
  }
}

export const planned = new Planned();
