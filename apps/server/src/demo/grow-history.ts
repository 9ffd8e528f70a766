import type { RevisionContent } from '@syncline/calibration';
import type { DraftResponse, DraftSummary, Review, RevisionResponse, SaveDraftResponse } from '@syncline/contract';
import { TERN_SECOND_LAYOUT, type TernRevision, ternCalibration, ternProgramLines } from '@syncline/drivetrain';
import type { Member } from './found-club.js';

interface HistoryOptions {
  readonly maintainer: Member;
  readonly reviewer: Member;
  readonly revisionIds: ReadonlyMap<TernRevision, string>;
}

/**
 * What goes on beside the three revisions that are driven: a branch that was merged with them and waits for its review,
 * and a draft on the way to the second layout.
 */
export async function growHistory(options: HistoryOptions): Promise<void> {
  await reviewColdStart(options);
  await beginProgramSchedule(options);
}

/** Somebody tried shorter fills in the cold on top of the second revision; the third came meanwhile. */
async function reviewColdStart({ maintainer: { client }, reviewer, revisionIds }: HistoryOptions): Promise<void> {
  const [secondId, thirdId] = (['r2', 'r3'] as const).map((id) => revisionIds.get(id));
  const { calibrationId } = await client.get<RevisionResponse>(`/revisions/${thirdId}`);
  const branch = await client.post<RevisionResponse>(`/calibrations/${calibrationId}/revisions`, {
    parentId: secondId,
    line: 'cold-start',
    message: 'Shorter fill of A and D in the cold, after the frost of last week',
    content: withShorterFill(ternCalibration('r2')),
  });
  const draft = await client.post<DraftResponse>(`/calibrations/${calibrationId}/merge`, {
    oursId: branch.id,
    theirsId: thirdId,
  });
  const merged = await client.post<RevisionResponse>(`/drafts/${draft.id}/revision`, {
    message: 'Cold start together with r3',
    contentHash: draft.contentHash,
  });
  await client.post<Review>(`/revisions/${merged.id}/reviews`, {
    note: 'Only the fill below freezing differs from r3. Three mornings at −8 °C, 1-2 and 2-1 without a blow.',
  });
  await reviewer.client.post(`/revisions/${merged.id}/comments`, {
    tableId: 'fillTime',
    variant: 'D',
    cell: { row: 0, column: 0 },
    text: 'Nobody drove below −10 °C. What is the value at −20 °C taken from?',
  });
}

/** An open draft: the lines of each program apart, and one step that is bold enough to be pointed at. */
async function beginProgramSchedule({ maintainer: { client }, revisionIds }: HistoryOptions): Promise<void> {
  const { id, content, version } = await client.post<DraftResponse>(`/revisions/${revisionIds.get('r3')}/migration`, {
    to: TERN_SECOND_LAYOUT.version,
  });
  const { basePressure } = content.tables;
  const firmer = { ...basePressure.values, '4-5': basePressure.values['4-5'].map(firmAtFullLoad) };
  const tables = {
    ...content.tables,
    ...ternProgramLines(ternCalibration('r3')).tables,
    basePressure: { ...basePressure, values: firmer },
  };
  await client.put<SaveDraftResponse>(`/drafts/${id}/content`, { version, content: { ...content, tables } });
  await client.patch<DraftSummary>(`/drafts/${id}`, { title: 'A schedule for each program' });
  await client.post<DraftSummary>(`/drafts/${id}/lock`, { action: 'release' });
}

/** Five values a row, load rising down the rows. */
function firmAtFullLoad(kpa: number, index: number, cells: readonly number[]): number {
  return index >= cells.length - 5 ? kpa + 130 : kpa;
}

/** The coldest break point stands first. */
function withShorterFill(content: RevisionContent): RevisionContent {
  const { fillTime } = content.tables;
  const shorter = Object.entries(fillTime.values).map(([clutch, times]) => {
    const isColdClutch = clutch === 'A' || clutch === 'D';
    return [clutch, isColdClutch ? [Math.round(0.96 * times[0]), ...times.slice(1)] : times] as const;
  });
  const values = Object.fromEntries(shorter);
  return { ...content, tables: { ...content.tables, fillTime: { ...fillTime, values } } };
}
