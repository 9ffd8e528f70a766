import { rmSync } from 'node:fs';
import type { DraftPreviewResponse, DraftResponse, RevisionContentDocument } from '@syncline/contract';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Club, foundClub, made } from './support/club.js';
import { drivenProgramCars } from './support/proposal-cases.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  await drivenProgramCars(server, club, ['Orache', 'Spurrey']);
}, 60_000);
afterAll(async () => {
  const { folder } = server;
  await server.close();
  rmSync(folder, { recursive: true, force: true });
});

const aDraft = (line: string, parentId: string | null = club.revisionIds[0]): Promise<DraftResponse> =>
  made(club.as.maintainer.post(`/calibrations/${club.calibrationId}/drafts`, { parentId, line }));

const read = (id: string): Promise<DraftPreviewResponse> => made(club.as.maintainer.get(`/drafts/${id}/preview`));

/** All pressures of the base table times `factor`. */
function times({ content }: DraftResponse, tableId: string, factor: number): RevisionContentDocument {
  const table = content.tables[tableId];
  const values = Object.entries(table.values).map(([variant, own]) => [
    variant,
    own.map((v) => Math.round(v * factor)),
  ]);
  return { ...content, tables: { ...content.tables, [tableId]: { ...table, values: Object.fromEntries(values) } } };
}

async function save(draft: DraftResponse, content: RevisionContentDocument): Promise<void> {
  await made(club.as.maintainer.put(`/drafts/${draft.id}/content`, { version: draft.version, content }));
}

async function tried(id: string) {
  const asked: DraftPreviewResponse = await made(club.as.maintainer.post(`/drafts/${id}/preview`));
  expect(asked.preview.kind).toBe('running');
  await server.jobs.idle();
  const found = await read(id);
  if (found.preview.kind !== 'preview') throw new Error(JSON.stringify(found));
  return { ...found, preview: found.preview };
}

it('a draft like its parent changes nothing on the bench', async () => {
  const draft = await aDraft('same');
  expect(await read(draft.id)).toMatchObject({ base: { number: 1 }, contentHash: null, preview: { kind: 'none' } });
  const { preview, contentHash, base } = await tried(draft.id);
  expect(base).toEqual({ revisionId: club.revisionIds[0], number: 1 });
  expect(contentHash).toBe(draft.contentHash);
  expect(preview).toMatchObject({ changed: 0, cars: 2 });
  expect(preview.total.flareAfter).toBe(preview.total.flareBefore);
  expect(preview.total.slowAfter).toBe(preview.total.slowBefore);
});

it('a draft with far less pressure flares or is slow more often than its parent, and one with far more does not', async () => {
  const poor = await aDraft('less');
  const pressureTable = Object.keys(poor.content.tables).find((id) => /pressure/i.test(id)) ?? '';
  const troubles = (total: { flareAfter: number; slowAfter: number }) => total.flareAfter + total.slowAfter;
  await save(poor, times(poor, pressureTable, 0.4));
  const less = await tried(poor.id);
  expect(less.preview.changed).toBe(less.preview.total.shifts);
  expect(troubles(less.preview.total)).toBeGreaterThan(less.preview.total.flareBefore + less.preview.total.slowBefore);
  const strong = await aDraft('more');
  await save(strong, times(strong, pressureTable, 1.3));
  expect(troubles((await tried(strong.id)).preview.total)).toBeLessThan(troubles(less.preview.total));
});

it('a preview names the content that was tried, so that a draft that was changed since is seen to be another', async () => {
  const draft = await aDraft('later');
  await tried(draft.id);
  const [tableId] = Object.keys(draft.content.tables);
  await save(draft, times(draft, tableId, 1.02));
  const changed: DraftResponse = await made(club.as.maintainer.get(`/drafts/${draft.id}`));
  expect((await read(draft.id)).contentHash).not.toBe(changed.contentHash);
  expect((await tried(draft.id)).contentHash).toBe(changed.contentHash);
});

it('is held against the nearest revision that was driven, and refused where there is none', async () => {
  // Nobody drove the second revision, which comes from the first.
  const draft = await aDraft('second', club.revisionIds[1]);
  expect((await read(draft.id)).base).toMatchObject({ number: 1 });
  expect((await tried(draft.id)).preview.changed).toBeGreaterThan(0);
  const beginning = await aDraft('beginning', null);
  expect((await read(beginning.id)).base).toBeNull();
  const refused = await club.as.maintainer.post(`/drafts/${beginning.id}/preview`);
  expect(refused.json()).toMatchObject({ code: 'proposal.noEvidence' });
});

it('is gone with the draft', async () => {
  const draft = await aDraft('discarded');
  await tried(draft.id);
  await made(club.as.maintainer.delete(`/drafts/${draft.id}`));
  expect((await club.as.maintainer.get(`/drafts/${draft.id}/preview`)).json()).toMatchObject({ code: 'draft.closed' });
});
