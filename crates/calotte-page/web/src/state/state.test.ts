import { describe, expect, it, vi } from 'vitest';
import { parseEvent } from '../api/client';
import { analyseJoints, mapOver, quoted } from './commands';
import { History } from './history';
import { Latest } from './latest';
import { fixed, parse, plain, three } from './numbers';
import { nominal, valueAt, withValue } from './paths';
import { keepTab, keptTab, type Tab, type Work } from './work';

describe('numbers', () => {
  it('are written as on the terminal', () => {
    expect(three(0)).toBe('0');
    expect(three(123.4)).toBe('123');
    expect(three(12.34)).toBe('12.3');
    expect(three(-1.234)).toBe('\u22121.23');
    expect(fixed(-0.0004, 2)).toBe('0.00');
    expect(plain(23.5)).toBe('23.5');
    expect(plain(3e6)).toBe('3e6');
  });
  it('are read as people type them', () => {
    expect(parse(' 23,5 ° ')).toBe(23.5);
    expect(parse('\u221212 mm')).toBe(-12);
    expect(parse('3e6')).toBe(3e6);
    expect(parse('3e6 N/m')).toBe(3e6);
    expect(parse('')).toBeNull();
    expect(parse('twelve')).toBeNull();
    expect(parse('1 2')).toBeNull();
  });
});

describe('values in a design', () => {
  const design = {
    linkage: { arcs: [1, 2], joint_radius_mm: 150 },
    tool: { mass_kg: { value: 2, from: 1, to: 3 } },
  };
  it('are found and replaced in a copy', () => {
    expect(valueAt(design, ['linkage', 'arcs', 1])).toBe(2);
    const changed = withValue(design, ['linkage', 'arcs', 1], 5);
    expect(changed.linkage.arcs).toEqual([1, 5]);
    expect(design.linkage.arcs).toEqual([1, 2]);
    expect('tool' in withValue(design, ['tool'], undefined)).toBe(false);
    expect(nominal(design.tool.mass_kg)).toBe(2);
    expect(nominal(undefined)).toBeNull();
  });
});

describe('history', () => {
  it('goes back and forward and forgets what was taken back after a change', () => {
    const history = new History<number>();
    history.record(1);
    history.record(2);
    expect(history.back(3)).toBe(2);
    expect(history.back(2)).toBe(1);
    expect(history.forward(1)).toBe(2);
    history.record(2);
    expect(history.canGoForward).toBe(false);
    expect(history.back(9)).toBe(2);
    expect(history.back(2)).toBe(1);
    expect(history.back(1)).toBeNull();
  });
});

describe('what a reload is to find again', () => {
  const state = (name: string) => ({ design: { title: name } }) as unknown as Work;
  it('is the whole history, to go on with', () => {
    const history = new History<Work>();
    history.record(state('a'));
    history.record(state('b'));
    expect(history.back(state('c'))).toEqual(state('b'));
    const again = new History<Work>();
    again.restore(JSON.parse(JSON.stringify(history.kept)));
    expect(again.forward(state('b'))).toEqual(state('c'));
    expect(again.back(state('c'))).toEqual(state('b'));
    expect(again.back(state('b'))).toEqual(state('a'));
    expect(again.canGoBack).toBe(false);
  });

  it('is kept by folder, and the oldest of a history is dropped where not all fits', () => {
    const kept = new Map<string, string>();
    vi.stubGlobal('sessionStorage', {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, text: string) => {
        if (text.length > 700) throw new Error('full');
        kept.set(key, text);
      },
    });
    const past = Array.from({ length: 40 }, (_, k) => state(`before ${k}`));
    const tab = { work: state('now'), past, future: [], written: {} } as unknown as Tab;
    keepTab('here', tab);
    const found = keptTab('here')!;
    expect(found.work).toEqual(state('now'));
    expect(found.past.length).toBeGreaterThan(5);
    expect(found.past).toEqual(past.slice(-found.past.length));
    expect(keptTab('elsewhere')).toBeNull();
    vi.unstubAllGlobals();
  });
});

describe('the latest question', () => {
  it('replaces those that waited', async () => {
    const asked: number[] = [];
    const latest = new Latest();
    let release = () => {};
    latest.ask(
      () =>
        new Promise<void>((done) => {
          asked.push(0);
          release = done;
        }),
    );
    for (const k of [1, 2, 3])
      latest.ask(async () => {
        asked.push(k);
      });
    release();
    await new Promise((done) => setTimeout(done, 5));
    expect(asked).toEqual([0, 3]);
    expect(latest.busy).toBe(false);
  });
});

describe('commands', () => {
  it('can be pasted into a shell', () => {
    expect(quoted("it's here")).toBe("'it'\\''s here'");
    expect(analyseJoints({ design: 'a b/design.toml', brief: null }, [10.5, -3])).toBe(
      "calotte analyse 'a b/design.toml' --joints 10.5,-3 --json",
    );
    expect(
      mapOver(
        { design: 'd.toml', brief: 'b.toml' },
        { x: 'stages=1..6', y: 'polar=30,60', show: 'stiffness', set: ['total_arc_deg=94'] },
      ),
    ).toBe(
      'calotte map d.toml --brief b.toml --x stages=1..6 --y polar=30,60 --show stiffness --set total_arc_deg=94',
    );
  });
});

describe('server-sent events', () => {
  it('are read line by line', () => {
    expect(parseEvent('event: part\ndata: {"a":1}')).toEqual({ event: 'part', data: '{"a":1}' });
    expect(parseEvent(': comment')).toEqual({ event: 'message', data: '' });
  });
});
