import type { DraftResponse, MergeResponse, RevisionResponse } from '@syncline/contract';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { contentWith, foundClub, LAYOUT, made } from './support/club.js';
import { edited, SECOND_LAYOUT } from './support/second-layout.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let eryngo: Client;
let calibrationId: string;
let first: RevisionResponse;
beforeAll(async () => {
  server = await startServer();
  eryngo = (await foundClub(server)).as.maintainer;
  await made(eryngo.post('/platforms/skua/layouts', SECOND_LAYOUT));
});
afterAll(() => server.close());

beforeEach(async () => {
  calibrationId = (await made(eryngo.post('/calibrations', { title: 'Dune', platformId: 'skua' }))).id;
  first = await revise(null, contentWith(300));
});

/** A revision as a script makes one. */
const revise = (parentId: string | null, content: unknown, line?: string): Promise<RevisionResponse> =>
  made(eryngo.post(`/calibrations/${calibrationId}/revisions`, { parentId, message: 'a step', content, line }));
const make = (draft: DraftResponse): Promise<RevisionResponse> =>
  made(eryngo.post(`/drafts/${draft.id}/revision`, { contentHash: draft.contentHash, message: 'brought in' }));

/** Base pressures with one cell of a shift set. */
const withCell = (shift: string, index: number, kpa: number, from = contentWith(300)) =>
  edited(from, 'basePressure', (value, i) => (i === index ? kpa : value), shift);

describe('merging', () => {
  const plan = (ours: string, theirs: string): Promise<MergeResponse> =>
    made(eryngo.get(`/calibrations/${calibrationId}/merge?ours=${ours}&theirs=${theirs}`));
  const merge = (oursId: string, theirsId: string, choices?: object) =>
    eryngo.post(`/calibrations/${calibrationId}/merge`, { oursId, theirsId, choices });

  it('takes from each line what only it changed', async () => {
    const ours = await revise(first.id, withCell('1-2', 0, 310));
    const theirs = await revise(first.id, withCell('2-3', 5, 350), 'firm');
    expect(await plan(ours.id, theirs.id)).toMatchObject({
      base: { id: first.id },
      takenFromOurs: 1,
      takenFromTheirs: 1,
      conflicts: [],
    });
    const draft: DraftResponse = await made(merge(ours.id, theirs.id));
    expect(draft).toMatchObject({
      origin: 'merge',
      line: 'main',
      parentId: ours.id,
      mergeParentId: theirs.id,
      mergeParentNumber: 3,
      originNote: 'r3 (firm) into r2 (main), from r1',
    });
    expect(draft.content).toEqual(withCell('2-3', 5, 350, withCell('1-2', 0, 310)));
    expect(await make(draft)).toMatchObject({ number: 4, line: 'main', parentId: ours.id, mergeParentId: theirs.id });
  });

  it('shows a cell that both changed, and takes the side or the number that is chosen', async () => {
    const ours = await revise(first.id, withCell('1-2', 3, 310));
    const theirs = await revise(first.id, withCell('1-2', 3, 290), 'soft');
    const { conflicts } = await plan(ours.id, theirs.id);
    expect(conflicts).toEqual([
      {
        id: expect.any(String),
        tableId: 'basePressure',
        title: 'Base pressure',
        unit: 'kPa',
        variant: '1-2',
        cell: { row: 1, column: 1 },
        place: 'Load 50 %, Input speed 3000 rpm',
        base: 300,
        ours: 310,
        theirs: 290,
      },
    ]);
    const unsettled = await merge(ours.id, theirs.id);
    expect([unsettled.statusCode, unsettled.json().code]).toEqual([422, 'merge.unsettled']);
    const [{ id }] = conflicts;
    expect((await merge(ours.id, theirs.id, { [id]: 'ours', none: 'ours' })).json().code).toBe('request.invalid');
    for (const [choice, kpa] of [
      ['ours', 310],
      ['theirs', 290],
      [295, 295],
    ] as const) {
      const draft = await made(merge(ours.id, theirs.id, { [id]: choice }));
      expect(draft.content).toEqual(withCell('1-2', 3, kpa));
    }
  });

  it('knows what was merged before', async () => {
    const ours = await revise(first.id, withCell('1-2', 0, 310));
    const theirs = await revise(first.id, withCell('2-3', 5, 350), 'firm');
    const merged = await make(await made(merge(ours.id, theirs.id)));
    const later = await revise(theirs.id, withCell('2-3', 4, 360, withCell('2-3', 5, 350)), 'firm');
    expect(await plan(merged.id, later.id)).toMatchObject({ base: { id: theirs.id }, takenFromTheirs: 1 });
  });

  it.each([
    ['a revision with itself', ({ ours }: Made) => [ours, ours]],
    ['an ancestor', ({ ours, first: ancestor }: Made) => [ours, ancestor]],
    ['one of another calibration', ({ ours, stranger }: Made) => [ours, stranger]],
    ['two without a common ancestor', ({ ours, orphan }: Made) => [ours, orphan]],
    ['two layouts', ({ ours, migrated }: Made) => [ours, migrated]],
  ])('is refused for %s', async (_, choose) => {
    const ours = (await revise(first.id, contentWith(310))).id;
    const orphan = (await revise(null, contentWith(320), 'orphan')).id;
    const draft = await made(eryngo.post(`/revisions/${first.id}/migration`, { to: 2, line: 'second' }));
    const migrated = (await make(draft)).id;
    const { id } = await made(eryngo.post('/calibrations', { title: 'Cliff', platformId: 'skua' }));
    const body = { parentId: null, message: 'elsewhere', content: contentWith(1) };
    const stranger = (await made(eryngo.post(`/calibrations/${id}/revisions`, body))).id;
    const [a, b] = choose({ ours, orphan, migrated, stranger, first: first.id });
    const refused = await eryngo.get(`/calibrations/${calibrationId}/merge?ours=${a}&theirs=${b}`);
    expect(refused.json().code).toBe('merge.impossible');
    expect((await merge(a, b)).json().code).toBe('merge.impossible');
  });

  it('goes on from the newest revision of its line only', async () => {
    const theirs = await revise(first.id, withCell('2-3', 5, 350), 'firm');
    await revise(first.id, contentWith(310));
    expect((await merge(first.id, theirs.id)).json().code).toBe('revision.notNewest');
  });
});

interface Made {
  readonly ours: string;
  readonly orphan: string;
  readonly migrated: string;
  readonly stranger: string;
  readonly first: string;
}

describe('going back', () => {
  it('brings earlier content back after the newest revision of its line, and says what it brought back', async () => {
    const second = await revise(first.id, contentWith(310));
    const third = await revise(second.id, contentWith(320));
    const draft: DraftResponse = await made(eryngo.post(`/revisions/${first.id}/revert`, {}));
    expect(draft).toMatchObject({ origin: 'revert', parentId: third.id, title: 'Back to r1', line: 'main' });
    expect(draft.content).toEqual(first.content);
    expect(await make(draft)).toMatchObject({
      number: 4,
      parentId: third.id,
      revertsId: first.id,
      contentHash: first.contentHash,
    });
  });

  it('is refused where that content stands already, and onto another calibration', async () => {
    expect((await eryngo.post(`/revisions/${first.id}/revert`, {})).json().code).toBe('revision.unchanged');
    const { id } = await made(eryngo.post('/calibrations', { title: 'Cliff', platformId: 'skua' }));
    const body = { parentId: null, message: 'elsewhere', content: contentWith(1) };
    const stranger = await made(eryngo.post(`/calibrations/${id}/revisions`, body));
    const refused = await eryngo.post(`/revisions/${first.id}/revert`, { onto: stranger.id });
    expect(refused.json().code).toBe('revision.parentMismatch');
  });
});

describe('moving to another layout', () => {
  it('says step by step what happens to each table', async () => {
    const plan = await made(eryngo.get(`/revisions/${first.id}/migration?to=2`));
    expect(plan).toMatchObject({ fromVersion: 1, toVersion: 2, isPossible: true });
    expect(plan.steps.map((step: { kind: string; tableId: string }) => [step.tableId, step.kind])).toEqual([
      ['basePressure', 'kept'],
      ['programFactor', 'kept'],
      ['upshiftLine', 'added'],
      ['downshiftLine', 'added'],
    ]);
    expect(plan.steps[2]).toMatchObject({
      title: 'Upshift line',
      severity: 'warning',
      detail: 'New; every value begins at 1000 rpm.',
    });
  });

  it('makes a draft whose steps are measured against the moved parent', async () => {
    const draft: DraftResponse = await made(eryngo.post(`/revisions/${first.id}/migration`, { to: 2 }));
    expect(draft).toMatchObject({ origin: 'migration', layoutVersion: 2, parentId: first.id, isUnchanged: false });
    expect(draft.parentContent).toEqual(draft.content);
    expect(draft.content.tables.basePressure).toEqual(first.content.tables.basePressure);
    const tooFar = edited(draft.content, 'basePressure', (value) => value + 101, '1-2');
    const saved = await made(eryngo.put(`/drafts/${draft.id}/content`, { version: 1, content: tooFar }));
    const steps = saved.findings.filter((finding: { code: string }) => finding.code === 'stepTooLarge');
    expect(steps.map((finding: { variant: string }) => finding.variant)).toEqual(Array(6).fill('1-2'));
    const revision = await make({ ...draft, contentHash: saved.contentHash });
    expect(revision).toMatchObject({ layoutVersion: 2, parentId: first.id });
  });

  it('tells how far reading off at other break points departs', async () => {
    const [base, ...others] = LAYOUT.tables;
    const axes = [{ ...base.axes[0], breakpoints: [0, 25, 75, 100] }, base.axes[1]];
    await made(
      eryngo.post('/platforms/skua/layouts', { ...LAYOUT, version: 3, tables: [{ ...base, axes }, ...others] }),
    );
    // 300 kPa but for 400 at 50 %: read off at 25 and 75 % it is 350, so that the peak is lost by 50 kPa.
    const peak = await revise(
      first.id,
      edited(contentWith(300), 'basePressure', (value, i) => (i === 2 ? 400 : value)),
    );
    const { steps } = await made(eryngo.get(`/revisions/${peak.id}/migration?to=3`));
    expect(steps[0]).toMatchObject({
      kind: 'resampled',
      tableId: 'basePressure',
      largestError: 50,
      severity: 'warning',
      detail:
        'Read off at the new break points of Load; departs by up to 50 kPa (1-2, Load 50 %, Input speed 1000 rpm).',
    });
    const draft: DraftResponse = await made(eryngo.post(`/revisions/${peak.id}/migration`, { to: 3 }));
    expect(draft.content.tables.basePressure.values['1-2']).toEqual([300, 300, 350, 300, 350, 300, 300, 300]);
  });

  it('is refused where a number would mean something else, and says which', async () => {
    const [base, factor] = LAYOUT.tables;
    const tables = [{ ...base, unit: 'bar' }, factor];
    const rules = [{ ...LAYOUT.rules[0], unit: 'bar' }];
    await made(eryngo.post('/platforms/skua/layouts', { ...LAYOUT, version: 4, tables, rules }));
    const plan = await made(eryngo.get(`/revisions/${first.id}/migration?to=4`));
    expect(plan).toMatchObject({
      isPossible: false,
      findings: [],
      steps: expect.arrayContaining([
        expect.objectContaining({ kind: 'unitChanged', tableId: 'basePressure', severity: 'blocking' }),
      ]),
    });
    const refused = await eryngo.post(`/revisions/${first.id}/migration`, { to: 4 });
    expect(refused.json()).toMatchObject({ code: 'migration.impossible', detail: expect.stringContaining('in bar') });
  });

  it('follows a table that got another name', async () => {
    const [base, factor] = LAYOUT.tables;
    const rules = [{ ...LAYOUT.rules[0], tables: ['applyBase', 'programFactor'] }];
    const layout = { ...LAYOUT, version: 5, tables: [{ ...base, id: 'applyBase' }, factor], rules };
    await made(eryngo.post('/platforms/skua/layouts', layout));
    const path = `/revisions/${first.id}/migration?to=5`;
    const lost = (await made(eryngo.get(path))).steps.map((step: { kind: string }) => step.kind);
    expect(lost).toEqual(['added', 'kept', 'removed']);
    const { steps } = await made(eryngo.get(`${path}&renames=basePressure:applyBase`));
    expect(steps[0]).toMatchObject({ kind: 'renamed', detail: "Was called 'basePressure'.", severity: 'note' });
    const body = { to: 5, renames: { basePressure: 'applyBase' } };
    const draft: DraftResponse = await made(eryngo.post(`/revisions/${first.id}/migration`, body));
    expect(draft.content.tables.applyBase).toEqual(first.content.tables.basePressure);
    expect((await eryngo.get(`${path}&renames=basePressure`)).json().code).toBe('request.invalid');
  });

  it.each([
    ['to the layout that it has', 1, 'migration.impossible'],
    ['to one that there is not', 99, 'resource.notFound'],
  ])('is refused %s', async (_, to, code) => {
    expect((await eryngo.get(`/revisions/${first.id}/migration?to=${to}`)).json().code).toBe(code);
    expect((await eryngo.post(`/revisions/${first.id}/migration`, { to })).json().code).toBe(code);
  });
});
