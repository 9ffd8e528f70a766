import type { RevisionResponse } from '@syncline/contract';
import { ternCalibration } from '@syncline/drivetrain';
import { joinClub, type TernClub } from './tern-club.ts';

const SAMPHIRE = { name: 'Samphire', email: 'samphire@club.test', password: 'samphire on the shore' };

export interface ApprovedRevision {
  readonly id: string;
  readonly contentHash: string;
}

/** Two more revisions of the club, whose content a reviewer who joined for it approved. */
export async function approvedRevisions({
  maintainer,
  calibrationId,
  revisionId,
}: Pick<TernClub, 'maintainer' | 'calibrationId' | 'revisionId'>): Promise<ApprovedRevision[]> {
  const reviewer = await joinClub(maintainer, 'reviewer', SAMPHIRE);
  const revisions: ApprovedRevision[] = [];
  for (const name of ['r2', 'r3'] as const) {
    const { id, contentHash } = await maintainer.post<RevisionResponse>(`/calibrations/${calibrationId}/revisions`, {
      parentId: revisions.at(-1)?.id ?? revisionId,
      message: name,
      content: ternCalibration(name),
    });
    const review = await maintainer.post<{ id: string }>(`/revisions/${id}/reviews`, {});
    await reviewer.post(`/reviews/${review.id}/decision`, { decision: 'approved', contentHash, reason: '' });
    revisions.push({ id, contentHash });
  }
  return revisions;
}
