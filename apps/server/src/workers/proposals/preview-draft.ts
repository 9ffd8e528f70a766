import { canonicalJson, sha256Hex } from '@syncline/calibration';
import { type NewMoments, openReadOnly } from '@syncline/store';
import { stepBack } from '../step-back.js';
import { benchPreview } from './bench-preview.js';
import { estimateFleet, openBase } from './estimate-fleet.js';
import type { DraftPreviewOutcome, DraftPreviewTask } from './preview-task.js';

/**
 * Tries a draft on simulated cars that are fitted to what the shifts under its base say of the fleet now. Entry point of
 * the worker threads.
 */
export async function previewDraft({ folder, draftId, inputs }: DraftPreviewTask): Promise<DraftPreviewOutcome> {
  stepBack();
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    const draft = store.read.drafts.find(draftId);
    const content = store.read.drafts.findContent(draftId)?.content;
    const layout = draft && store.read.platforms.findLayout(draft.platformId, draft.layoutVersion);
    if (!draft || !content || !layout) throw new Error(`there is no draft ${draftId}`);
    const base = openBase(store, draft.platformId, inputs);
    const { gathered, found } = estimateFleet(store, inputs, base, () => {});
    const moments: readonly NewMoments[] = gathered.fresh;
    const rest = { moments, contentHash: sha256Hex(canonicalJson(content)), baseRevisionId: inputs.baseRevisionId };
    if (found.kind === 'none') return { ...rest, outcome: { kind: 'impossible', reason: found.problem } };
    const { correctionLn, trims, components } = found.estimate;
    const fit = { correctionLn, trims, residualSd: components.residualSd };
    return { ...rest, outcome: benchPreview(store, inputs, base, fit, { layout, content }) };
  } finally {
    store.close();
  }
}
