import {
  type CalibrationResponse,
  type Invitation,
  type RevisionResponse,
  type Role,
  type Session,
  TERMS_VERSION,
} from '@syncline/contract';
import {
  TERN_GRADING,
  TERN_LAYOUT,
  TERN_PLATFORM,
  TERN_REVISIONS,
  TERN_SECOND_LAYOUT,
  type TernRevision,
  ternCalibration,
} from '@syncline/drivetrain';
import { ApiClient } from './api-client.js';

export interface DemoAccount {
  readonly email: string;
  readonly password: string;
}

/** A person of the invented club, signed in. */
export interface Member {
  readonly client: ApiClient;
  readonly account: DemoAccount;
}

const CLUB = 'Tern shore club';
const AGREED = { hasConsented: true, termsVersion: TERMS_VERSION };

/** The first person of a new server. */
export async function setUpClub(baseUrl: string): Promise<Member> {
  const client = new ApiClient(baseUrl);
  const account = accountOf('Eryngo');
  await client.post<Session>('/setup', { clubName: CLUB, name: 'Eryngo', ...account, ...AGREED });
  return { client, account };
}

/** Invites a person and accepts for her. */
export async function joinClub(baseUrl: string, maintainer: Member, name: string, role: Role): Promise<Member> {
  const { path } = await maintainer.client.post<Invitation>('/invitations', { role, note: name });
  const client = new ApiClient(baseUrl);
  const account = accountOf(name);
  await client.post<Session>(`/invitations/${path.replace('/join/', '')}/accept`, { name, ...account, ...AGREED });
  return { client, account };
}

function accountOf(name: string): DemoAccount {
  const plant = name.toLowerCase().replaceAll(' ', '-');
  return { email: `${plant}@shore.example`, password: `${plant} on the shore` };
}

/** The Tern with its layouts and the target times that its maps aim at. */
export async function enterPlatform({ client }: Member): Promise<void> {
  await client.post('/platforms', TERN_PLATFORM);
  for (const layout of [TERN_LAYOUT, TERN_SECOND_LAYOUT]) {
    await client.post(`/platforms/${TERN_PLATFORM.id}/layouts`, layout);
  }
  const { version: _, ...grading } = TERN_GRADING;
  await client.post(`/platforms/${TERN_PLATFORM.id}/policies`, grading);
}

/** The three revisions, each made from the one before. */
export async function makeRevisions({ client }: Member): Promise<ReadonlyMap<TernRevision, string>> {
  const { id: calibrationId } = await client.post<CalibrationResponse>('/calibrations', {
    title: 'Tern shore',
    platformId: TERN_PLATFORM.id,
    note: 'The maps of the whole club.',
  });
  const ids = new Map<TernRevision, string>();
  let parentId: string | null = null;
  for (const { id, message } of TERN_REVISIONS) {
    const revision: RevisionResponse = await client.post(`/calibrations/${calibrationId}/revisions`, {
      parentId,
      message,
      content: ternCalibration(id),
    });
    parentId = revision.id;
    ids.set(id, revision.id);
  }
  return ids;
}
