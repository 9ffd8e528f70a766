import { setTimeout as sleep } from 'node:timers/promises';
import type { CalibrationResponse, ProposalResponse } from '@syncline/contract';
import type { Member } from './found-club.js';

const LOOK_EVERY_MS = 100;

/** The maintainer asks what the drives say about the newest map that was driven, and has the answer tried on the bench. */
export async function proposeNext({ client }: Member): Promise<void> {
  const { items } = await client.get<{ items: { id: string }[] }>('/calibrations');
  const calibration = await client.get<CalibrationResponse>(`/calibrations/${items[0].id}`);
  const driven = calibration.revisions.filter(({ shiftCount }) => shiftCount > 0).at(-1);
  if (!driven) return;
  const { id } = await client.post<ProposalResponse>(`/calibrations/${calibration.id}/proposals`, {
    baseRevisionId: driven.id,
  });
  const { state } = await whenMade(client, id);
  if (state === 'ready') await client.post<ProposalResponse>(`/proposals/${id}/preview`, {});
}

async function whenMade(client: Member['client'], proposalId: string): Promise<ProposalResponse> {
  for (;;) {
    const proposal = await client.get<ProposalResponse>(`/proposals/${proposalId}`);
    if (proposal.state !== 'waiting') return proposal;
    await sleep(LOOK_EVERY_MS);
  }
}
