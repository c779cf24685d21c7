/** Saving the design and the brief: whether each stands in its file, and what is asked first. */
import * as api from '../api/client';
import { Refusal } from '../api/client';
import { disk } from './disk.svelte';
import { measured } from './measured.svelte';
import { session } from './session.svelte';

export type What = 'design' | 'brief';

/** Whether what is on the page stands in its file. */
export type Stands = 'saved' | 'not saved' | 'changed' | 'gone';

/** A save that waits for an answer: the design of measurements would be replaced. */
export interface Question {
  what: What;
  path: string;
  measured: string[];
}

interface Asked {
  /** Another file than its own. */
  to?: string;
  /** A file that is listed there may be replaced. */
  replace?: boolean;
  /** Even if measurements belong to the design in it. */
  replaceMeasured?: boolean;
}

class Saving {
  question = $state.raw<Question | null>(null);
  /** What is being given another name. */
  naming = $state<What | null>(null);

  file(what: What) {
    return what === 'design' ? session.designFile : session.briefFile;
  }

  stands(what: What): Stands {
    const file = this.file(what);
    const changed = what === 'design' ? session.designChanged : session.briefChanged;
    const of = disk.of(file);
    if (of !== 'same') return of;
    return file === null || file.sha256 === null || changed ? 'not saved' : 'saved';
  }

  /** Files that other programs changed or removed behind the page. */
  get foreign(): { path: string; gone: boolean }[] {
    return [session.designFile, session.briefFile]
      .filter((file) => file !== null && disk.of(file) !== 'same')
      .map((file) => ({ path: file!.path, gone: disk.of(file) === 'gone' }));
  }

  /** The design, and the brief where it is not saved yet. */
  async all(): Promise<void> {
    const brief = session.brief !== null && this.stands('brief') !== 'saved';
    if (!(await this.save('design'))) return;
    if (brief && (await this.save('brief'))) {
      session.said = `Saved as ${session.designFile?.path} and ${session.briefFile?.path}.`;
    }
  }

  /** Writes to its own file or another one; false if that was refused, or is asked first. */
  async save(what: What, asked: Asked = {}): Promise<boolean> {
    // What was just typed may still be on its way into the design.
    for (let waits = 0; session.working > 0 && waits < 500; waits += 1) {
      await new Promise((done) => setTimeout(done, 20));
    }
    const own = this.file(what);
    const to = asked.to ?? own?.path ?? `${what}.toml`;
    const same = to === own?.path;
    if (!same && !asked.replace && disk.has(to) && asked.to === undefined) {
      // It never had a name, and the usual one is taken.
      this.naming = what;
      return false;
    }
    const known = same ? own.sha256 : asked.replace ? disk.hashOf(to) : null;
    const held = what === 'design' ? measured.filesFor(to) : [];
    const mine = known !== null && session.written[to] === known;
    // What this page itself wrote there, and nobody fitted since, was not measured.
    const unmeasured = mine && !measured.fittedSaved;
    const agreed = asked.replaceMeasured === true || unmeasured;
    const files = [...new Set([...disk.measuredBeside(to), ...held])];
    const isDesign = disk.listing.some((one) => one.path === to && one.kind === 'design');
    if (known !== null && isDesign && files.length > 0 && !agreed) {
      const changed = what !== 'design' || !same || session.designChanged;
      if (changed) {
        this.#ask({ what, path: to, measured: files });
        return false;
      }
    }
    try {
      const { design, brief } = session;
      const text = await this.#text(what);
      if (text === null) return false;
      const file = await api.save({
        path: to,
        text,
        ...(known === null ? {} : { expect_sha256: known }),
        measured: held,
        replace_measured: agreed,
      });
      disk.note(file.path, file.sha256, what, text.length);
      session.written[file.path] = file.sha256;
      const stands = { path: file.path, sha256: file.sha256 };
      if (what === 'design' && design) session.stands(stands, { design });
      if (what === 'brief' && brief !== null) session.stands(stands, { brief });
      session.said = [`Saved as ${file.path}.`, ...file.notes].join(' ');
      this.naming = null;
      this.question = null;
      void disk.refresh().catch(() => undefined);
      return true;
    } catch (error) {
      if (error instanceof Refusal && error.measured.length > 0) {
        this.#ask({ what, path: to, measured: error.measured });
      } else {
        session.refuse(error);
        // What the page did not know yet.
        if (error instanceof Refusal && error.status === 409) session.filesChanged();
      }
      return false;
    }
  }

  #ask(question: Question): void {
    this.naming = null;
    this.question = question;
  }

  async #text(what: What): Promise<string | null> {
    if (what === 'brief') return session.brief;
    return session.design && (await api.writeDesign(session.design)).text;
  }
}

export const saving = new Saving();
