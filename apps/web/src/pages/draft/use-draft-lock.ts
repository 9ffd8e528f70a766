import type { DraftSummary } from '@syncline/contract';
import { useQueryClient } from '@tanstack/react-query';
import { useCallback, useEffect, useState } from 'react';
import { isProblem } from '../../api/api-problem.js';
import { draftQueries, lockDraft } from '../../api/drafts.js';

/** Who may type now. */
export type LockState =
  /** The role only reads, or the draft is closed. */
  | { readonly kind: 'reader' }
  | { readonly kind: 'taking' }
  /** Mine; `version` is that of the draft when it was taken. */
  | { readonly kind: 'held'; readonly version: number }
  /** Somebody else's; `wasHeld` when it was taken over from me. */
  | { readonly kind: 'other'; readonly error: Error; readonly wasHeld: boolean }
  | { readonly kind: 'failed'; readonly error: Error };

/** A lock lapses when its holder falls silent, so it is renewed while the page is in sight (ms). */
const RENEW_MS = 20_000;

/** Takes the right to edit when the page opens, renews it, and gives it back when the page is left. */
export function useDraftLock(draftId: string, mayWrite: boolean) {
  const client = useQueryClient();
  const [lock, setLock] = useState<LockState>(mayWrite ? { kind: 'taking' } : { kind: 'reader' });

  const fail = useCallback((error: unknown) => {
    const fault = error instanceof Error ? error : new Error(String(error));
    setLock((now) => {
      if (isProblem(error, 'draft.locked')) return { kind: 'other', error: fault, wasHeld: now.kind === 'held' };
      if (isProblem(error, 'draft.closed')) return { kind: 'reader' };
      // Without an answer a lock that was held is still held; the queue of saves says that the server is away.
      return now.kind === 'held' ? now : { kind: 'failed', error: fault };
    });
  }, []);

  const hold = useCallback(
    async ({ version }: DraftSummary) => {
      const known = client.getQueryData(draftQueries.one(draftId).queryKey);
      if (known?.version !== version) await client.refetchQueries(draftQueries.one(draftId));
      setLock((now) => (now.kind === 'held' ? now : { kind: 'held', version }));
    },
    [client, draftId],
  );

  useEffect(() => {
    if (!mayWrite) return;
    lockDraft(draftId, 'take').then(hold).catch(fail);
    return () => void lockDraft(draftId, 'release').catch(() => undefined);
  }, [draftId, mayWrite, hold, fail]);

  const isHeld = lock.kind === 'held';
  useEffect(() => {
    if (!isHeld) return;
    const renew = () => {
      if (document.visibilityState === 'visible') lockDraft(draftId, 'take').catch(fail);
    };
    const timer = setInterval(renew, RENEW_MS);
    document.addEventListener('visibilitychange', renew);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', renew);
    };
  }, [draftId, isHeld, fail]);

  const obtain = (action: 'take' | 'takeOver') => lockDraft(draftId, action).then(hold).catch(fail);
  return { lock, takeOver: () => obtain('takeOver'), takeAgain: () => obtain('take') };
}
