import type { DraftResponse, RevisionResponse } from '@syncline/contract';
import type { Client } from './client.js';
import { type Club, contentWith, join, made } from './club.js';
import { edited, SECOND_LAYOUT } from './second-layout.js';
import type { TestServer } from './server.js';

/** What calls of drafts, reviews and files are about; all of it made by a maintainer who is no one of the club's roles. */
export interface CalibrationThings {
  readonly club: Club;
  readonly logId: string;
  readonly unique: () => string;
  /** The newest revision of a line of its own, which can be merged with the club's second revision. */
  readonly branchId: string;
  /** A fresh draft that differs from its parent, on a line of its own. */
  readonly draft: () => Promise<DraftResponse>;
  /** Id of a fresh draft that was discarded. */
  readonly discarded: () => Promise<string>;
  /** A fresh revision. */
  readonly revision: () => Promise<RevisionResponse>;
  /** Id of a fresh open review, and the hash that it is of. */
  readonly review: () => Promise<{ id: string; contentHash: string }>;
  /** Id of a fresh comment. */
  readonly comment: () => Promise<string>;
}

/** Brings the club what `CALIBRATION_CASES` need. */
export async function calibrationThings(
  server: TestServer,
  club: Club,
  unique: () => string,
): Promise<Omit<CalibrationThings, 'club' | 'logId' | 'unique'>> {
  const orpine = await join(server, club.as.maintainer, 'maintainer', 'Orpine');
  const [first] = club.revisionIds;
  await made(orpine.post('/platforms/skua/layouts', SECOND_LAYOUT));
  const content = edited(contentWith(300), 'programFactor', () => 1.1, 'brisk');
  const branch = { parentId: first, line: 'branch', message: 'brisker', content };
  const { id: branchId } = await made(orpine.post(`/calibrations/${club.calibrationId}/revisions`, branch));

  let kpa = 400;
  const draft = async (): Promise<DraftResponse> => {
    const body = { parentId: first, line: unique() };
    const { id } = await made(orpine.post(`/calibrations/${club.calibrationId}/drafts`, body));
    await made(orpine.put(`/drafts/${id}/content`, { version: 1, content: contentWith(++kpa) }));
    await made(orpine.post(`/drafts/${id}/lock`, { action: 'release' }));
    return made(orpine.get(`/drafts/${id}`));
  };
  const revision = async (): Promise<RevisionResponse> => {
    const { id, contentHash } = await draft();
    return made(orpine.post(`/drafts/${id}/revision`, { message: 'fresh', contentHash }));
  };
  return {
    branchId,
    draft,
    discarded: async () => {
      const { id } = await draft();
      await made(orpine.delete(`/drafts/${id}`));
      return id;
    },
    revision,
    review: async () => {
      const { id: revisionId, contentHash } = await revision();
      return { id: (await made(orpine.post(`/revisions/${revisionId}/reviews`, {}))).id, contentHash };
    },
    comment: async () => (await made(orpine.post(`/revisions/${first}/comments`, { text: 'hm' }))).id,
  };
}

interface CalibrationCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  call(client: Client, things: CalibrationThings): ReturnType<Client['get']>;
}

const read = (path: (things: CalibrationThings) => string): CalibrationCase => ({
  success: 200,
  call: (client, things) => client.get(path(things)),
});
const ofDraft = (path: string): CalibrationCase => ({
  success: 200,
  call: async (client, { draft }) => client.get(`/drafts/${(await draft()).id}${path}`),
});
const write = (
  success: number,
  call: (client: Client, draft: DraftResponse) => ReturnType<Client['get']>,
): CalibrationCase => ({ success, call: async (client, { draft }) => call(client, await draft()) });

const rule = 'rule=applyPressure&shift=1-2&program=calm';

/** Every route of drafts, histories, files and reviews with one good call of it. */
export const CALIBRATION_CASES: Readonly<Record<string, CalibrationCase>> = {
  'GET /api/v1/calibrations/:calibrationId/drafts': read(({ club }) => `/calibrations/${club.calibrationId}/drafts`),
  'POST /api/v1/calibrations/:calibrationId/drafts': {
    success: 201,
    call: (client, { club, unique }) =>
      client.post(`/calibrations/${club.calibrationId}/drafts`, { parentId: club.revisionIds[0], line: unique() }),
  },
  'GET /api/v1/drafts/:draftId': ofDraft(''),
  'GET /api/v1/drafts/:draftId/saves': ofDraft('/saves'),
  'GET /api/v1/drafts/:draftId/commanded': ofDraft(`/commanded?${rule}`),
  'GET /api/v1/drafts/:draftId/commanded-point': ofDraft(`/commanded-point?${rule}&load=40&inputSpeed=2000`),
  'GET /api/v1/drafts/:draftId/export': ofDraft('/export?format=csv'),
  'GET /api/v1/drafts/:draftId/preview': ofDraft('/preview'),
  'POST /api/v1/drafts/:draftId/preview': write(202, (client, { id }) => client.post(`/drafts/${id}/preview`)),
  'PUT /api/v1/drafts/:draftId/content': write(200, (client, { id, version }) =>
    client.put(`/drafts/${id}/content`, { version, content: contentWith(350) }),
  ),
  'POST /api/v1/drafts/:draftId/lock': write(200, (client, { id }) =>
    client.post(`/drafts/${id}/lock`, { action: 'take' }),
  ),
  'PATCH /api/v1/drafts/:draftId': write(200, (client, { id }) => client.patch(`/drafts/${id}`, { title: 'renamed' })),
  'DELETE /api/v1/drafts/:draftId': write(204, (client, { id }) => client.delete(`/drafts/${id}`)),
  'POST /api/v1/drafts/:draftId/reopen': {
    success: 200,
    call: async (client, { discarded }) => client.post(`/drafts/${await discarded()}/reopen`),
  },
  'POST /api/v1/drafts/:draftId/restore': write(200, (client, { id, version }) =>
    client.post(`/drafts/${id}/restore`, { version, from: 1 }),
  ),
  'POST /api/v1/drafts/:draftId/revision': write(201, (client, { id, contentHash }) =>
    client.post(`/drafts/${id}/revision`, { message: 'made', contentHash }),
  ),

  'GET /api/v1/calibrations/:calibrationId/merge': read(
    ({ club, branchId }) => `/calibrations/${club.calibrationId}/merge?ours=${branchId}&theirs=${club.revisionIds[1]}`,
  ),
  'POST /api/v1/calibrations/:calibrationId/merge': {
    success: 201,
    call: (client, { club, branchId }) =>
      client.post(`/calibrations/${club.calibrationId}/merge`, { oursId: branchId, theirsId: club.revisionIds[1] }),
  },
  'POST /api/v1/revisions/:revisionId/revert': {
    success: 201,
    call: (client, { club, branchId }) => client.post(`/revisions/${club.revisionIds[0]}/revert`, { onto: branchId }),
  },
  'GET /api/v1/revisions/:revisionId/migration': read(({ club }) => `/revisions/${club.revisionIds[0]}/migration?to=2`),
  'POST /api/v1/revisions/:revisionId/migration': {
    success: 201,
    call: (client, { club, unique }) =>
      client.post(`/revisions/${club.revisionIds[0]}/migration`, { to: 2, line: unique() }),
  },

  'GET /api/v1/revisions/:revisionId/export': read(({ club }) => `/revisions/${club.revisionIds[0]}/export`),
  'POST /api/v1/calibrations/:calibrationId/import': {
    success: 201,
    call: (client, { club, unique }) =>
      client.post(
        `/calibrations/${club.calibrationId}/import?layoutVersion=1&line=${unique()}`,
        JSON.stringify(contentWith(320)),
        { 'content-type': 'application/json' },
      ),
  },
  'GET /api/v1/platforms/:platformId/layouts/:version/document-schema': read(
    () => '/platforms/skua/layouts/1/document-schema',
  ),
  'GET /api/v1/revisions/:revisionId/signature': read(({ club }) => `/revisions/${club.revisionIds[0]}/signature`),
  'GET /api/v1/signing-key': read(() => '/signing-key'),
  // The drive of the walk has no pedal: whoever may ask is told so.
  'GET /api/v1/revisions/:revisionId/schedule-replay': {
    success: 422,
    call: (client, { club, logId }) =>
      client.get(`/revisions/${club.revisionIds[0]}/schedule-replay?log=${logId}&schedule=road`),
  },

  'GET /api/v1/reviews': read(() => '/reviews?state=open'),
  'GET /api/v1/revisions/:revisionId/reviews': read(({ club }) => `/revisions/${club.revisionIds[0]}/reviews`),
  'POST /api/v1/revisions/:revisionId/reviews': {
    success: 201,
    call: async (client, { revision }) =>
      client.post(`/revisions/${(await revision()).id}/reviews`, { note: 'please' }),
  },
  'POST /api/v1/reviews/:reviewId/decision': {
    success: 200,
    call: async (client, { review }) => {
      const { id, contentHash } = await review();
      return client.post(`/reviews/${id}/decision`, { decision: 'approved', contentHash, reason: '' });
    },
  },
  'GET /api/v1/revisions/:revisionId/comments': read(({ club }) => `/revisions/${club.revisionIds[0]}/comments`),
  'POST /api/v1/revisions/:revisionId/comments': {
    success: 201,
    call: (client, { club }) =>
      client.post(`/revisions/${club.revisionIds[0]}/comments`, { tableId: 'basePressure', text: 'why?' }),
  },
  'PATCH /api/v1/comments/:commentId': {
    success: 200,
    call: async (client, { comment }) => client.patch(`/comments/${await comment()}`, { isResolved: true }),
  },
};
