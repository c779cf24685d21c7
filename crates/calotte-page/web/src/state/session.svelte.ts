/**
 * What the page knows: the design and its brief, the pose, and what the program
 * answered about them. Each answer says whether it belongs to the present design.
 */
import { flushSync } from 'svelte';
import * as api from '../api/client';
import { pose as poseOverSocket } from '../api/poses';
import { Refusal, type Judged } from '../api/client';
import type {
  AboutAnswer,
  AnalysisAnswer,
  BriefAnswer,
  DesignFile,
  DomeAnswer,
  DomeQuantity,
  LinkageAnswer,
  LoadAsked,
  PartsAnswer,
  PolarAzimuth,
  PoseAnswer,
  StagesAnswer,
  Target,
} from '../api/types';
import { disk, type OnDisk } from './disk.svelte';
import { History } from './history';
import { Latest } from './latest';
import { Piece } from './piece.svelte';
import { keepTab, keepWork, keptTab, keptWork, type Work } from './work';
import { withValue, type Key } from './paths';
import { STARTER } from './starter';

export { Piece } from './piece.svelte';

/** The second design, overlaid. */
export interface Other {
  name: string;
  /** Its file, and what stands there. */
  file: OnDisk | null;
  saved: DesignFile | null;
  judged: Judged;
  linkage: LinkageAnswer;
  analysis: AnalysisAnswer | null;
}

/** Grids of the dome, coarse first. */
const GRIDS: [number, number][] = [
  [13, 24],
  [41, 72],
];

export class Session {
  about = $state.raw<AboutAnswer | null>(null);
  design = $state.raw<DesignFile | null>(null);
  brief = $state.raw<string | null>(null);
  designFile = $state.raw<OnDisk | null>(null);
  briefFile = $state.raw<OnDisk | null>(null);
  /** The design and brief as they stand in their files, to tell whether they changed. */
  savedDesign = $state.raw<DesignFile | null>(null);
  savedBrief = $state.raw<string | null>(null);
  briefRead = new Piece<BriefAnswer>();
  linkage = new Piece<LinkageAnswer>();
  pose = new Piece<PoseAnswer>();
  analysis = new Piece<AnalysisAnswer>();
  dome = new Piece<DomeAnswer>();
  stages = new Piece<StagesAnswer>();
  parts = new Piece<PartsAnswer>();
  /** What is drawn: the linkage, and its parts where it is built and they have come. */
  drawing = $state.raw<{ linkage: LinkageAnswer; parts: PartsAnswer | null } | null>(null);
  /** Whether parts are drawn, where there are any, rather than bars as one line. */
  asBuilt = $state(true);
  /** How far parts are drawn apart, %. */
  apart = $state(0);
  /** Names of the parts that are brought out. */
  marked = $state.raw<readonly string[]>([]);
  /** The ideal linkage of a built design, at the pose where the hand last rested. */
  ideal = $state.raw<{ of: PoseAnswer; pose: PoseAnswer } | null>(null);

  quantity = $state.raw<DomeQuantity>({ word: 'lci', load: null });
  load = $state.raw<LoadAsked | null>(null);
  showDeflected = $state(false);
  /** Rigid joints for dome and pose, instead of the design's own. */
  rigid = $state(false);
  other = $state.raw<Other | null>(null);
  otherPose = $state.raw<PoseAnswer | null>(null);
  path = $state.raw<PolarAzimuth[]>([]);
  pathAt = $state<number | null>(null);

  alive = $state(true);
  /** What went wrong with the last change, to be taken back. */
  refused = $state.raw<Refusal | null>(null);
  /** A sentence about what was just done. */
  said = $state('');
  canUndo = $state(false);
  canRedo = $state(false);

  /** The pose where the hand last rested. */
  rested = $state.raw<PoseAnswer | null>(null);
  /** Changes and files that are on their way. */
  working = $state(0);
  /** Whether a pose is on its way. */
  posing = $state(false);
  /** Called after a pose arrived, before numbers are drawn: the scene moves at once. */
  onpose: ((pose: PoseAnswer) => void) | null = null;

  /** Hashes of files that this page wrote, by path. */
  written: Record<string, string> = {};

  #history = new History<Work>();
  #generation = 0;
  #poses = new Latest();
  #whole = new Latest();
  #domes = new Latest();
  #curves = new Latest();
  #wanted: Target | null = null;
  #resting: ReturnType<typeof setTimeout> | null = null;
  /** Poses asked for beside that of the design: its ideal linkage, the second design. */
  #beside = 0;

  get judged(): Judged | null {
    return this.design ? { design: this.design, brief: this.brief } : null;
  }

  /** Whether the design says how it is built. */
  get built(): boolean {
    return (this.linkage.value?.layers ?? null) !== null;
  }

  /** Names of the load cases. */
  get loads(): string[] {
    return this.analysis.value?.loads ?? this.briefRead.value?.loads ?? [];
  }

  /** Whether all that was asked for has come: nothing shown will change by itself. */
  get quiet(): boolean {
    const asked = [this.#poses, this.#whole, this.#domes, this.#curves].some((one) => one.busy);
    const waits = this.working > 0 || this.posing || this.#resting !== null || this.#beside > 0;
    const pieces = [this.briefRead, this.parts].some((one) => one.standing === 'computing');
    return this.design !== null && !asked && !waits && !pieces;
  }

  /** Names for the command lines. */
  get names(): { design: string | null; brief: string | null } {
    return {
      design: this.designFile?.path ?? null,
      brief: this.brief === null ? null : (this.briefFile?.path ?? 'brief.toml'),
    };
  }

  get designChanged(): boolean {
    return JSON.stringify(this.design) !== JSON.stringify(this.savedDesign);
  }
  get briefChanged(): boolean {
    return this.brief !== this.savedBrief;
  }

  /** Opens the page: what was left unsaved, else the first design of the folder. */
  async start(): Promise<void> {
    try {
      this.about = await api.about();
      await this.refreshListing();
      if (!(await this.#takeUp())) await this.#openFirst();
    } catch (error) {
      this.#noteGone(error);
      if (!(error instanceof Refusal && error.gone)) this.refused = asRefusal(error);
    }
  }

  async refreshListing(): Promise<void> {
    await disk.refresh();
  }

  async #openFirst(): Promise<void> {
    const designs = disk.listing.filter((one) => one.kind === 'design');
    const briefs = disk.listing.filter((one) => one.kind === 'brief');
    const first =
      designs.find((one) => one.path === 'design.toml') ??
      designs.find((one) => /(^|\/)results\/design\.toml$/.test(one.path)) ??
      designs[0];
    const folder = first ? first.path.split('/').slice(0, -1) : [];
    const near =
      briefs.find((one) => one.path === [...folder, 'brief.toml'].join('/')) ??
      briefs.find((one) => one.path === [...folder.slice(0, -1), 'brief.toml'].join('/')) ??
      (briefs.length === 1 ? briefs[0] : undefined);
    if (near) await this.openBrief(near.path, false);
    if (first) await this.openDesign(first.path);
    else {
      const read = await api.readDesign(STARTER);
      this.design = read.design;
      this.savedDesign = null;
      this.#fresh();
    }
  }

  /**
   * Takes up what this tab had before a reload, or what an earlier page in this browser left
   * unsaved over the same folder. What was not changed here is read anew where the file was.
   */
  async #takeUp(): Promise<boolean> {
    const tab = keptTab(disk.folder);
    const kept = tab?.work ?? keptWork(disk.folder);
    if (!kept) return false;
    this.design = kept.design;
    this.brief = kept.brief;
    this.designFile = kept.designFile;
    this.briefFile = kept.briefFile;
    this.savedDesign = kept.savedDesign;
    this.savedBrief = kept.savedBrief;
    if (tab) {
      this.#history.restore(tab);
      Object.assign(this, tab.colouring);
      this.written = tab.written;
      this.#buttons();
    }
    const { designFile, briefFile } = this;
    const anew = (file: OnDisk | null, changed: boolean): file is OnDisk =>
      !changed && disk.of(file) === 'changed';
    if (anew(briefFile, this.briefChanged)) await this.openBrief(briefFile.path, false);
    else if (this.brief !== null) this.#readBrief();
    if (anew(designFile, this.designChanged)) await this.openDesign(designFile.path);
    else this.#fresh();
    if (this.designChanged || this.briefChanged) {
      this.said = 'Unsaved work of before was taken up.';
    }
    return true;
  }

  /** Before the page goes: what a reload is to find again. */
  leave(): void {
    const work = this.#work();
    if (!work || disk.folder === '') return;
    const { quantity, load, rigid, asBuilt, showDeflected, written } = this;
    const colouring = { quantity, load, rigid, asBuilt, showDeflected };
    keepTab(disk.folder, { work, ...this.#history.kept, colouring, written });
  }

  #keep(): void {
    if (!this.design || disk.folder === '') return;
    const unsaved = this.designChanged || this.briefChanged;
    keepWork(disk.folder, unsaved ? this.#work() : null);
  }

  /** Opens a design file. What was on the page can be had back by undo. */
  async openDesign(path: string): Promise<void> {
    this.working += 1;
    try {
      const file = await api.file(path);
      const read = await api.readDesign(file.text);
      this.#record();
      this.design = read.design;
      this.savedDesign = read.design;
      this.designFile = { path: file.path, sha256: file.sha256 };
      disk.note(file.path, file.sha256, 'design', file.text.length);
      this.refused = null;
      this.#fresh();
    } catch (error) {
      this.#refuse(error);
    } finally {
      this.working -= 1;
    }
  }

  async openBrief(path: string, refresh = true): Promise<void> {
    this.working += 1;
    try {
      const file = await api.file(path);
      this.#record();
      this.brief = file.text;
      this.savedBrief = file.text;
      this.briefFile = { path: file.path, sha256: file.sha256 };
      disk.note(file.path, file.sha256, 'brief', file.text.length);
      this.#readBrief();
      if (refresh) this.#fresh();
    } catch (error) {
      this.#refuse(error);
    } finally {
      this.working -= 1;
    }
  }

  closeBrief(): void {
    this.#record();
    this.brief = null;
    this.savedBrief = null;
    this.briefFile = null;
    this.briefRead = new Piece<BriefAnswer>();
    this.#fresh();
  }

  /** A brief typed on the page. */
  editBrief(text: string): void {
    if (text === this.brief) return;
    this.#record();
    this.brief = text;
    this.#readBrief();
    this.#fresh();
  }

  #readBrief(): void {
    const text = this.brief;
    if (text === null) return;
    this.briefRead.standing = 'computing';
    void api.readBrief(text).then(
      (answer) => {
        if (this.brief === text) this.briefRead.set(answer);
      },
      (error: unknown) => {
        if (this.brief === text) this.briefRead.fail(error);
        this.#noteGone(error);
      },
    );
  }

  /** Replaces one value of the design; `undefined` takes the key out. */
  edit(path: Key[], value: unknown): void {
    if (!this.design) return;
    this.replaceDesign(withValue(this.design, path, value));
  }

  /**
   * Puts another design in place of this one; undo brings it back. `file` null: it belongs
   * to no file yet.
   */
  replaceDesign(design: DesignFile, file: OnDisk | null = this.designFile): void {
    this.#record();
    this.design = design;
    if (file === null) {
      this.designFile = null;
      this.savedDesign = null;
    }
    this.refused = null;
    this.#fresh();
  }

  /** What is on the sheet now, to be put back later. */
  standing(): Work | null {
    return this.#work();
  }

  /** Puts back what was on the sheet; undo brings back what it replaced. */
  putBack(work: Work): void {
    this.#record();
    this.#put({
      ...work,
      brief: this.brief,
      briefFile: this.briefFile,
      savedBrief: this.savedBrief,
    });
    this.#buttons();
  }

  /** Changes numbers in the words of `--set`; the program does it. */
  async change(set: string[]): Promise<void> {
    if (!this.design) return;
    this.working += 1;
    try {
      this.replaceDesign((await api.changeDesign(this.design, set)).design);
    } catch (error) {
      this.#refuse(error);
    } finally {
      this.working -= 1;
    }
  }

  #record(): void {
    const now = this.#work();
    if (now) this.#history.record(now);
    this.#buttons();
  }
  #work(): Work | null {
    const { design, brief, designFile, briefFile, savedDesign, savedBrief } = this;
    return design ? { design, brief, designFile, briefFile, savedDesign, savedBrief } : null;
  }
  #buttons(): void {
    this.canUndo = this.#history.canGoBack;
    this.canRedo = this.#history.canGoForward;
  }
  #put(work: Work | null): void {
    if (!work) return;
    const otherBrief = work.brief !== this.brief;
    this.design = work.design;
    this.brief = work.brief;
    // What is known of a file that is still the same one is newer than the history.
    if (work.designFile?.path !== this.designFile?.path) {
      this.designFile = work.designFile;
      this.savedDesign = work.savedDesign;
    }
    if (work.briefFile?.path !== this.briefFile?.path) {
      this.briefFile = work.briefFile;
      this.savedBrief = work.savedBrief;
    }
    this.refused = null;
    this.#buttons();
    if (otherBrief) this.#readBrief();
    this.#fresh();
  }
  undo(): void {
    const now = this.#work();
    if (now) this.#put(this.#history.back(now));
  }
  redo(): void {
    const now = this.#work();
    if (now) this.#put(this.#history.forward(now));
  }

  /** Everything about the present design anew; what is shown meanwhile is marked stale. */
  #fresh(): void {
    this.#generation += 1;
    const { linkage, pose, analysis, dome, stages, parts } = this;
    for (const piece of [linkage, pose, analysis, dome, stages, parts]) piece.age();
    this.marked = [];
    this.#keep();
    const generation = this.#generation;
    this.#whole.ask(async () => {
      const judged = this.judged;
      if (!judged || generation !== this.#generation) return;
      this.linkage.standing = 'computing';
      try {
        const linkage = await api.linkage(judged);
        if (generation !== this.#generation) return;
        this.linkage.set(linkage);
        this.alive = true;
        this.#askParts(judged, linkage);
        const now = this.pose.value;
        this.#aimAt(
          now
            ? { 'direction-deg': now.not_reached?.wanted_deg ?? now.configuration.direction_deg }
            : { 'joints-deg': linkage.start_joints_deg },
        );
        this.askDome();
        this.#askStages();
        this.analysis.standing = 'computing';
        const analysis = await api.analysis(judged);
        if (generation === this.#generation) this.analysis.set(analysis);
      } catch (error) {
        if (generation !== this.#generation) return;
        if (this.#noteGone(error)) return;
        if (this.analysis.standing === 'computing') this.analysis.fail(error);
        else {
          this.linkage.fail(error);
          this.refused = asRefusal(error);
        }
      }
    });
  }

  /** The parts of a built design; until they come, what was drawn stays. */
  #askParts(judged: Judged, linkage: LinkageAnswer): void {
    if (linkage.layers === null) {
      this.parts.empty();
      this.drawing = { linkage, parts: null };
      return;
    }
    this.parts.standing = 'computing';
    void api.parts(judged).then(
      (parts) => {
        if (this.linkage.value !== linkage) return;
        this.parts.set(parts);
        this.drawing = { linkage, parts };
      },
      (error: unknown) => {
        if (this.linkage.value !== linkage) return;
        this.drawing = { linkage, parts: null };
        if (!this.#noteGone(error)) this.parts.fail(error);
      },
    );
  }

  /** What the ideal linkage has at a pose of the built one. */
  #askIdeal(pose: PoseAnswer | null): void {
    const judged = this.judged;
    if (!judged || !pose || !this.built || this.rigid || this.ideal?.of === pose) return;
    const to: Target = { 'joints-deg': pose.configuration.joints_deg };
    this.#beside += 1;
    void api
      .pose(judged, to, this.load, true)
      .then(
        (ideal) => {
          if (this.pose.value === pose) this.ideal = { of: pose, pose: ideal };
        },
        (error: unknown) => {
          this.#noteGone(error);
          if (this.pose.value === pose) this.ideal = null;
        },
      )
      .finally(() => (this.#beside -= 1));
  }

  /**
   * Moves the tool or the joints. `begun` is when the hand moved, for the measurement;
   * while it drags, nothing is said about a pose on its way: the next is there already.
   */
  aim(to: Target, begun?: number, dragged = false): void {
    this.#aimAt(to, begun, dragged);
  }

  #aimAt(to: Target, begun?: number, dragged = false): void {
    this.#wanted = to;
    if (!dragged) this.posing = true;
    this.#poses.ask(async () => {
      const judged = this.judged;
      const target = this.#wanted;
      if (!judged || !target) return;
      const generation = this.#generation;
      if (this.pose.standing !== 'fresh') this.pose.standing = 'computing';
      try {
        const asked = performance.now();
        const pose = await poseOverSocket({
          ...judged,
          to: target,
          load: this.load,
          rigid_joints: this.rigid,
        });
        if (generation !== this.#generation) return;
        const answered = performance.now();
        this.onpose?.(pose);
        this.pose.set(pose);
        this.alive = true;
        if (target === this.#wanted) this.posing = false;
        if (begun !== undefined) measured(begun, asked, answered, pose.computed_ms);
        this.#rest();
        this.#askOther(pose);
      } catch (error) {
        if (generation !== this.#generation) return;
        this.posing = false;
        if (!this.#noteGone(error)) this.pose.fail(error);
      }
    });
  }

  /** What may lag behind the hand, such as marks in figures, follows when it rests. */
  #rest(): void {
    if (this.#resting !== null) clearTimeout(this.#resting);
    this.#resting = setTimeout(() => {
      this.#resting = null;
      this.rested = this.pose.value;
      this.#askIdeal(this.pose.value);
    }, 150);
  }

  /** The same pose anew, because load or joints changed. */
  again(): void {
    const now = this.pose.value;
    if (now) this.#aimAt({ 'joints-deg': now.configuration.joints_deg });
  }

  #askOther(pose: PoseAnswer): void {
    const other = this.other;
    if (!other) return;
    this.#beside += 1;
    void api
      .pose(
        other.judged,
        { 'direction-deg': pose.configuration.direction_deg },
        this.load,
        this.rigid,
      )
      .then(
        (found) => {
          if (this.other === other) this.otherPose = found;
        },
        () => {
          if (this.other === other) this.otherPose = null;
        },
      )
      .finally(() => (this.#beside -= 1));
  }

  /** Sets the design to compare with, and the file it stands in. */
  async compareWith(
    name: string,
    design: DesignFile,
    file: OnDisk | null = null,
    saved: DesignFile | null = null,
  ): Promise<void> {
    const judged = { design, brief: this.brief };
    try {
      const linkage = await api.linkage(judged);
      this.other = { name, file, saved, judged, linkage, analysis: null };
      this.otherPose = null;
      if (this.pose.value) this.#askOther(this.pose.value);
      const analysis = await api.analysis(judged);
      if (this.other?.judged === judged) this.other = { ...this.other, analysis };
    } catch (error) {
      this.#refuse(error);
    }
  }

  /** B becomes the design of the page, with the file it belongs to; undo brings A back. */
  adoptOther(): void {
    const { other } = this;
    if (!other) return;
    this.#record();
    this.design = other.judged.design;
    this.designFile = other.file;
    this.savedDesign = other.saved;
    this.refused = null;
    this.noOther();
    this.said = `B (${other.name}) is now the design; undo brings A back.`;
    this.#fresh();
  }

  noOther(): void {
    this.other = null;
    this.otherPose = null;
  }

  /** The quantity over the dome, coarse first, then fine. */
  askDome(): void {
    const generation = this.#generation;
    const [quantity, rigid] = [this.quantity, this.rigid];
    this.#domes.ask(async () => {
      const judged = this.judged;
      for (const [rings, around] of GRIDS) {
        const same = () =>
          generation === this.#generation && quantity === this.quantity && rigid === this.rigid;
        if (!judged || !same()) return;
        if (this.dome.standing !== 'partial') this.dome.standing = 'computing';
        try {
          const dome = await api.dome(judged, quantity, rings, around, rigid);
          if (!same()) return;
          this.dome.set(dome, rings === GRIDS[GRIDS.length - 1]?.[0] ? 'fresh' : 'partial');
        } catch (error) {
          if (same() && !this.#noteGone(error)) this.dome.fail(error);
          return;
        }
      }
    });
  }

  setQuantity(quantity: DomeQuantity): void {
    this.quantity = quantity;
    this.dome.age();
    this.askDome();
  }

  setRigid(rigid: boolean): void {
    this.rigid = rigid;
    this.dome.age();
    this.askDome();
    this.again();
  }

  setLoad(load: LoadAsked | null): void {
    this.load = load;
    this.again();
  }

  #askStages(): void {
    const generation = this.#generation;
    this.#curves.ask(async () => {
      const judged = this.judged;
      if (!judged || generation !== this.#generation) return;
      this.stages.standing = 'computing';
      try {
        const stages = await api.stages(judged, 8);
        if (generation === this.#generation) this.stages.set(stages);
      } catch (error) {
        if (generation === this.#generation && !this.#noteGone(error)) this.stages.fail(error);
      }
    });
  }

  /** The design or brief now stands in a file. */
  stands(file: OnDisk, as: { design: DesignFile } | { brief: string }): void {
    if ('design' in as) {
      this.designFile = file;
      this.savedDesign = as.design;
    } else {
      this.briefFile = file;
      this.savedBrief = as.brief;
    }
    this.refused = null;
    this.#keep();
  }

  /** The program says that something in the folder changed. */
  filesChanged(): void {
    void this.refreshListing().catch(() => undefined);
  }

  /** Keeps what is on the page and takes the file's new state, or that it is gone, as known. */
  keepMine(path: string): void {
    const known = { path, sha256: disk.hashOf(path) };
    if (this.designFile?.path === path) {
      this.designFile = known;
      this.savedDesign = null;
    }
    if (this.briefFile?.path === path) {
      this.briefFile = known;
      this.savedBrief = null;
    }
    this.#keep();
  }

  async reload(path: string): Promise<void> {
    if (this.designFile?.path === path) await this.openDesign(path);
    else await this.openBrief(path);
  }

  /** Says why something asked for was not done. */
  refuse(error: unknown): void {
    this.#refuse(error);
  }

  #refuse(error: unknown): void {
    if (!this.#noteGone(error)) this.refused = asRefusal(error);
  }

  /** The program is gone: says so and tries again by itself. */
  #noteGone(error: unknown): boolean {
    if (!(error instanceof Refusal && error.gone)) return false;
    this.alive = false;
    return true;
  }

  /** The program answers again: everything that failed meanwhile is asked anew. */
  back(): void {
    if (this.alive) return;
    this.alive = true;
    if (this.about && this.design) {
      void this.refreshListing().catch(() => undefined);
      this.#fresh();
    } else void this.start();
  }

  gone(): void {
    this.alive = false;
  }
}

function asRefusal(error: unknown): Refusal {
  return error instanceof Refusal ? error : new Refusal(500, String(error));
}

/**
 * Puts a drag into the browser's own list of measurements: from the hand to the numbers,
 * with how long it waited for the question before, for the answer, and for the document.
 */
function measured(begun: number, asked: number, answered: number, computed_ms: number): void {
  flushSync();
  const end = performance.now();
  performance.measure('drag', {
    start: begun,
    end,
    detail: {
      computed_ms,
      waited_ms: asked - begun,
      answer_ms: answered - asked,
      document_ms: end - answered,
    },
  });
}

export const session = new Session();
