/** Questions to the program, each carrying its design. Nothing is computed here. */
import type {
  AboutAnswer,
  AnalysisAnswer,
  BriefAnswer,
  DesignAnswer,
  DesignFile,
  DomeAnswer,
  DomeQuantity,
  PathAnswer,
  PathQuantity,
  PolarAzimuth,
  FileProblem,
  FileText,
  LinkageAnswer,
  Listing,
  LoadAsked,
  PartsAnswer,
  PoseAnswer,
  Save,
  Saved,
  StagesAnswer,
  Target,
} from './types';

/** What the program answers when it has no result. */
export class Refusal extends Error {
  /** HTTP status; 0 when the program did not answer at all. */
  readonly status: number;
  /** What to try. */
  readonly hint: string;
  /** Every problem of a file, where that is what is wrong. */
  readonly problems: FileProblem[];
  /** Which of the files asked about is at fault; empty where that goes without saying. */
  readonly file: string;
  /** The hash of a file that changed behind the page, on status 409. */
  readonly sha256: string | null;
  /** Files of measurements that belong to a design which was to be replaced. */
  readonly measured: string[];

  constructor(
    status: number,
    message: string,
    hint = '',
    problems: FileProblem[] = [],
    sha256: string | null = null,
    file = '',
    measured: string[] = [],
  ) {
    super(message);
    this.status = status;
    this.hint = hint;
    this.problems = problems;
    this.sha256 = sha256;
    this.file = file;
    this.measured = measured;
  }

  /** Whether the program is gone rather than unwilling. */
  get gone(): boolean {
    return this.status === 0;
  }
}

async function refusalOf(response: Response): Promise<Refusal> {
  try {
    const body = await response.json();
    return new Refusal(
      response.status,
      body.error ?? response.statusText,
      body.hint ?? '',
      body.problems ?? [],
      body.sha256 ?? null,
      '',
      body.measured ?? [],
    );
  } catch {
    return new Refusal(response.status, `the program answered ${response.status}`);
  }
}

async function send(path: string, body: unknown, signal?: AbortSignal): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, {
      method: body === undefined ? 'GET' : 'POST',
      headers: body === undefined ? {} : { 'Content-Type': 'application/json' },
      body: body === undefined ? undefined : JSON.stringify(body),
      signal,
    });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Refusal(0, 'the program does not answer', 'start `calotte page` again');
  }
  if (!response.ok) throw await refusalOf(response);
  return response;
}

async function ask<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const response = await send(path, body, signal);
  return (await response.json()) as T;
}

/** A design and what judges it. */
export interface Judged {
  design: DesignFile;
  brief: string | null;
}

export type { Listed } from './types';

export const about = () => ask<AboutAnswer>('/api/about');
export const files = () => ask<Listing>('/api/files');
export const file = (path: string) => ask<FileText>(`/api/file?path=${encodeURIComponent(path)}`);
export const save = (asked: Save) => ask<Saved>('/api/file/save', asked);
export const readDesign = (text: string) => ask<DesignAnswer>('/api/design/read', { text });
export const writeDesign = (design: DesignFile) =>
  ask<DesignAnswer>('/api/design/write', { design });
export const changeDesign = (design: DesignFile, set: string[]) =>
  ask<DesignAnswer>('/api/design/change', { design, set });
export const readBrief = (text: string) => ask<BriefAnswer>('/api/brief/read', { text });
export const linkage = (judged: Judged) => ask<LinkageAnswer>('/api/linkage', judged);
export const parts = (judged: Judged) => ask<PartsAnswer>('/api/parts', judged);
export const analysis = (judged: Judged) => ask<AnalysisAnswer>('/api/analysis', judged);
export const pose = (
  judged: Judged,
  to: Target,
  load: LoadAsked | null,
  rigid_joints: boolean,
  signal?: AbortSignal,
) => ask<PoseAnswer>('/api/pose', { ...judged, to, load, rigid_joints }, signal);
export const dome = (
  judged: Judged,
  quantity: DomeQuantity,
  rings: number,
  around: number,
  rigid_joints: boolean,
) => ask<DomeAnswer>('/api/dome', { ...judged, quantity, rings, around, rigid_joints });
export const path = (
  judged: Judged,
  of: PathQuantity,
  points_deg: PolarAzimuth[],
  rigid_joints: boolean,
) => ask<PathAnswer>('/api/path', { ...judged, of, points_deg, rigid_joints });
export const stages = (judged: Judged, stages_max: number) =>
  ask<StagesAnswer>('/api/stages', { ...judged, stages_max });
export const candidate = (brief: string, key: string) =>
  ask<DesignAnswer>('/api/candidate', { brief, key });

/**
 * A long job: its parts as they come, then its end. Aborting the signal stops the job in
 * the program too.
 */
export async function job<Part, Done>(
  path: string,
  body: unknown,
  heard: { part(part: Part): void; waiting(): void },
  signal: AbortSignal,
): Promise<Done> {
  const response = await send(path, body, signal);
  if (!response.body) throw new Refusal(0, 'the program sends nothing');
  const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = '';
  for (;;) {
    let piece: ReadableStreamReadResult<string>;
    try {
      piece = await reader.read();
    } catch (error) {
      if (signal.aborted) throw error;
      throw new Refusal(0, 'the program went away in the middle of it', 'start it again');
    }
    if (piece.done) break;
    // An event of many rows comes in many pieces: only the new one is looked through.
    const from = Math.max(0, rest.length - 1);
    rest += piece.value;
    let end = rest.indexOf('\n\n', from);
    while (end >= 0) {
      const { event, data } = parseEvent(rest.slice(0, end));
      rest = rest.slice(end + 2);
      end = rest.indexOf('\n\n');
      if (event === 'part') heard.part(JSON.parse(data) as Part);
      else if (event === 'waiting') heard.waiting();
      else if (event === 'done') return JSON.parse(data) as Done;
      else if (event === 'failed') {
        const failed = JSON.parse(data);
        const { error, hint, problems, file } = failed;
        throw new Refusal(422, error, hint ?? '', problems ?? [], null, file ?? '');
      }
    }
  }
  throw new Refusal(0, 'the program went away in the middle of it', 'start it again');
}

/** One server-sent event: its name and its data lines joined. */
export function parseEvent(text: string): { event: string; data: string } {
  let event = 'message';
  const data: string[] = [];
  for (const line of text.split('\n')) {
    if (line.startsWith('event:')) event = line.slice(6).trim();
    else if (line.startsWith('data:')) data.push(line.slice(5).trimStart());
  }
  return { event, data: data.join('\n') };
}
