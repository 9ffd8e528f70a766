import type { DraftResponse, RevisionContentDocument, SaveDraftResponse } from '@syncline/contract';
import { useEffect, useState } from 'react';
import { ApiProblem } from '../../api/api-problem.js';
import { saveDraft } from '../../api/drafts.js';
import { SaveQueue, type SaveState } from './model/save-queue.js';

/** A fault of the connection or the server passes; a refusal does not. */
function isPassing(error: unknown): boolean {
  return !(error instanceof ApiProblem) || error.document.status >= 500 || error.document.status === 429;
}

/**
 * Keeps a draft saved: a second after the last change, and at once when the page loses the focus or is left. The queue
 * is made once and lives as long as the editor. `onSaved` must keep its identity.
 */
export function useDraftSaving(
  draft: DraftResponse,
  onSaved: (content: RevisionContentDocument, answer: SaveDraftResponse) => void,
): { readonly queue: SaveQueue; readonly state: SaveState } {
  const [state, setState] = useState<SaveState>({ kind: 'saved', at: draft.updatedAt });
  const [queue] = useState(
    () =>
      new SaveQueue({
        version: draft.version,
        savedAt: draft.updatedAt,
        send: (request) => saveDraft(draft.id, request),
        isPassing,
      }),
  );
  useEffect(() => queue.listen({ onSaved, onState: setState }), [queue, onSaved]);
  useEffect(() => {
    const flush = () => void queue.flush();
    const flushHidden = () => document.visibilityState === 'hidden' && flush();
    window.addEventListener('blur', flush);
    document.addEventListener('visibilitychange', flushHidden);
    return () => {
      window.removeEventListener('blur', flush);
      document.removeEventListener('visibilitychange', flushHidden);
      flush();
    };
  }, [queue]);
  return { queue, state };
}
