import { createHash } from 'node:crypto';
import type { ReleaseAct, ReleaseResponse } from '@syncline/contract';
import type { Release, Store } from '@syncline/store';
import type { Api } from '../support/api.ts';
import { type ApprovedRevision, approvedRevisions } from '../support/approved-revisions.ts';
import { enterCar, type TernClub } from '../support/tern-club.ts';
import { type End, untilGone } from './work-lanes.ts';

/** One car first, then everybody; no stage waits for evidence. */
const STAGES = [
  { size: { kind: 'cars', cars: 1 }, minShifts: 0, minVehicles: 0 },
  { size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 },
];

/** A release that is taken back, and one that goes to its end. */
const COURSES: readonly (readonly (ReleaseAct | 'confirm')[])[] = [
  ['start', 'confirm', 'hold', 'resume', 'widen', 'recall'],
  ['start', 'widen', 'confirm', 'hold', 'resume', 'widen'],
];

/** What was asked of releases, and what was answered. */
export interface ReleaseMemory {
  readonly olderId: string;
  readonly revisions: readonly ApprovedRevision[];
  /** Ids by their words. */
  readonly drafted: Map<string, string>;
  /** Asked for and not answered: is asked for again with the same key. */
  pending: { readonly words: string; readonly revision: ApprovedRevision } | undefined;
  /** Reasons of acts and notes of confirmations that were answered. Each is written once. */
  readonly told: Set<string>;
  /** Hashes of files that came whole, by release. */
  readonly downloaded: Map<string, string[]>;
  /** Downloads that were begun, by release. */
  readonly asked: Map<string, number>;
  /** Releases that were asked for. */
  count: number;
  /** Releases that went their whole course. */
  completed: number;
}

/** Brings a second car and two more revisions whose content a reviewer approved. */
export async function prepareReleases(club: TernClub): Promise<ReleaseMemory> {
  await enterCar(club);
  const revisions = await approvedRevisions(club);
  return {
    olderId: club.revisionId,
    revisions,
    drafted: new Map(),
    pending: undefined,
    told: new Set(),
    downloaded: new Map(),
    asked: new Map(),
    count: 0,
    completed: 0,
  };
}

/** Takes one release after the other through its course until the server is gone. */
export function releaseOn(
  { maintainer, tester }: { readonly maintainer: Api; readonly tester: Api },
  memory: ReleaseMemory,
): Promise<End> {
  return untilGone(async () => {
    const { words, revision } = (memory.pending ??= next(memory));
    const asked = { revisionId: revision.id, replacesId: memory.olderId, words, cohort: {}, stages: STAGES };
    const { id } = await maintainer.post<ReleaseResponse>('/releases', asked, words);
    memory.drafted.set(words, id);
    memory.pending = undefined;
    for (const [step, what] of COURSES[memory.completed % COURSES.length]!.entries()) {
      const reason = `${words}: ${what} ${step}`;
      if (what === 'confirm') await confirm({ maintainer, tester }, { id, revision, note: reason }, memory);
      else await maintainer.post(`/releases/${id}/acts`, { act: what, reason });
      memory.told.add(reason);
    }
    memory.completed += 1;
    return true;
  });
}

function next(memory: ReleaseMemory) {
  const count = ++memory.count;
  return { words: `release ${count}`, revision: memory.revisions[count % memory.revisions.length]! };
}

/** The person of a car that was taken in downloads the file and says that it is installed. */
async function confirm(
  { maintainer, tester }: { readonly maintainer: Api; readonly tester: Api },
  release: { readonly id: string; readonly revision: ApprovedRevision; readonly note: string },
  { asked, downloaded }: ReleaseMemory,
): Promise<void> {
  const { id, revision, note } = release;
  const { cars } = await maintainer.get<ReleaseResponse>(`/releases/${id}`);
  const vehicleId = cars.find(({ stage }) => stage !== null)?.vehicleId;
  asked.set(id, (asked.get(id) ?? 0) + 1);
  const bytes = await tester.bytes(`/vehicles/${vehicleId}/offer/download?format=csv`);
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  downloaded.set(id, [...(downloaded.get(id) ?? []), sha256]);
  const answer = { answer: 'installed', contentHash: revision.contentHash, note };
  await tester.post(`/vehicles/${vehicleId}/offer/answer`, answer);
}

/** What was answered and is not there, or is there more often than it was asked for, in words. */
export function releaseLosses({ read }: Pick<Store, 'read'>, memory: ReleaseMemory): string[] {
  const losses: string[] = [];
  const found = allReleases(read);
  // An answer has the name of the car before its note; cars that join have nothing else.
  const reasons = found
    .flatMap(({ id }) => read.releases.events(id))
    .filter(({ kind, reason }) => kind !== 'join' && reason !== '')
    .map(({ kind, reason }) => (kind === 'installed' ? reason.slice(reason.indexOf(': ') + 2) : reason));
  for (const words of repeated(found.map((release) => release.words))) losses.push(`${words} was drafted twice`);
  for (const [words, id] of memory.drafted) {
    if (!found.some((release) => release.id === id && release.words === words)) losses.push(`${words} is gone`);
  }
  for (const reason of repeated(reasons)) losses.push(`twice: ${reason}`);
  const once = new Set(reasons);
  for (const reason of memory.told) if (!once.has(reason)) losses.push(`never: ${reason}`);
  for (const { id, words } of found) {
    const kept = read.releases.downloads({ releaseId: id }, 100).map(({ fileSha256 }) => fileSha256);
    if (kept.length > (memory.asked.get(id) ?? 0)) losses.push(`${words} was downloaded more often than asked for`);
    for (const sha256 of memory.downloaded.get(id) ?? []) {
      if (!kept.includes(sha256)) losses.push(`the download ${sha256} of ${words} is not recorded`);
    }
  }
  return losses;
}

function allReleases(read: Store['read']): Release[] {
  const found: Release[] = [];
  for (let cursor: string | undefined; ; ) {
    const page = read.releases.list({}, { limit: 200, cursor });
    found.push(...page.items);
    if (page.nextCursor === null) return found;
    cursor = page.nextCursor;
  }
}

function repeated(texts: readonly string[]): string[] {
  const seen = new Set<string>();
  return texts.filter((text) => seen.size === seen.add(text).size);
}
