import { useQueryClient } from '@tanstack/react-query';
import { useEffect, useSyncExternalStore } from 'react';
import { type LogUpload, uploadLog } from './upload-log.js';

/** How far one file has come on its way to the server. What the server then does with it is asked by its log id. */
export type SendStage =
  | { readonly kind: 'queued' }
  | { readonly kind: 'sending'; readonly sentBytes: number; readonly elapsedMs: number }
  | { readonly kind: 'sent'; readonly logId: string; readonly isDuplicate: boolean }
  | { readonly kind: 'failed'; readonly error: unknown };

export interface QueuedUpload {
  readonly key: number;
  readonly upload: LogUpload;
  readonly stage: SendStage;
}

/**
 * Files on their way, one after the other. It lives outside the pages, so that moving about in the product does not
 * stop an upload; closing the tab does, and the browser asks first.
 */
let entries: readonly QueuedUpload[] = [];
let nextKey = 1;
let isRunning = false;
const listeners = new Set<() => void>();

function replace(next: readonly QueuedUpload[]): void {
  entries = next;
  for (const listener of listeners) listener();
}

function setStage(key: number, stage: SendStage): void {
  replace(entries.map((entry) => (entry.key === key ? { ...entry, stage } : entry)));
}

async function run(): Promise<void> {
  if (isRunning) return;
  isRunning = true;
  for (let next = firstQueued(); next !== undefined; next = firstQueued()) await sendOne(next);
  isRunning = false;
}

function firstQueued(): QueuedUpload | undefined {
  return entries.find((entry) => entry.stage.kind === 'queued');
}

async function sendOne({ key, upload }: QueuedUpload): Promise<void> {
  const startedAtMs = performance.now();
  const note = (sentBytes: number) =>
    setStage(key, { kind: 'sending', sentBytes, elapsedMs: performance.now() - startedAtMs });
  note(0);
  try {
    const answer = await uploadLog(upload, note);
    setStage(key, { kind: 'sent', logId: answer.log.id, isDuplicate: answer.isDuplicate });
  } catch (error) {
    setStage(key, { kind: 'failed', error });
  }
}

export const uploadQueue = {
  add(uploads: readonly LogUpload[]): void {
    replace([...entries, ...uploads.map((upload) => ({ key: nextKey++, upload, stage: { kind: 'queued' } as const }))]);
    void run();
  },
  retry(key: number): void {
    setStage(key, { kind: 'queued' });
    void run();
  },
  remove(key: number): void {
    replace(entries.filter((entry) => entry.key !== key || entry.stage.kind === 'sending'));
  },
};

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** The queue as it is now. Lists of logs are asked for again whenever a file has arrived. */
export function useUploadQueue(): readonly QueuedUpload[] {
  const now = useSyncExternalStore(subscribe, () => entries);
  const client = useQueryClient();
  const arrivedCount = now.filter((entry) => entry.stage.kind === 'sent').length;
  useEffect(() => {
    if (arrivedCount > 0) void client.invalidateQueries({ queryKey: ['logs', 'list'] });
  }, [arrivedCount, client]);
  return now;
}

/** Whether a file still has to leave this computer. */
export function isUnsent({ stage }: QueuedUpload): boolean {
  return stage.kind === 'queued' || stage.kind === 'sending';
}

window.addEventListener('beforeunload', (event) => {
  if (entries.some(isUnsent)) event.preventDefault();
});
