import { knownLogsResponse, type Upload } from '@syncline/contract';
import { useQueryClient } from '@tanstack/react-query';
import { useEffect, useSyncExternalStore } from 'react';
import { ApiProblem } from './api-problem.js';
import { send } from './client.js';
import { hashFile, hashHead, UnreadableFile } from './upload-hash.js';
import { beginUpload, readUpload, type Sending, sendFile } from './upload-send.js';

export interface LogUpload {
  readonly file: File;
  readonly vehicleId: string;
  /** ISO 8601 with zone. */
  readonly drivenAt: string;
  /** The unfinished upload that it goes on with; left out, it begins anew. */
  readonly goesOnWith?: Upload;
}

/** How far one file has come on its way to the server. What the server then does with it is asked by its log id. */
export type SendStage =
  | { readonly kind: 'queued' }
  /** Its hash is taken, so that a file that is there already need not be sent. */
  | { readonly kind: 'reading'; readonly readBytes: number }
  | { readonly kind: 'sending'; readonly sentBytes: number; readonly bytesPerS: number | null }
  /** The link is down; it goes on by itself. */
  | { readonly kind: 'lost'; readonly sentBytes: number }
  | { readonly kind: 'paused'; readonly sentBytes: number }
  | { readonly kind: 'sent'; readonly logId: string; readonly isDuplicate: boolean; readonly twin: Upload['twin'] }
  | { readonly kind: 'failed'; readonly error: unknown };

export interface QueuedUpload {
  readonly key: number;
  readonly upload: LogUpload;
  readonly stage: SendStage;
  /** Under which the server keeps what has come; null before it knows of the file. */
  readonly uploadId: string | null;
}

/** What is under way for an entry, to be stopped. */
interface Run {
  readonly abort: AbortController;
  sending?: Sending;
}

/** Files on their way at once: while one is read, another is sent. */
const LANES = 2;
/** Before this the rate of sending says nothing yet (ms). */
const SETTLING_MS = 2000;

/**
 * Files on their way. It lives outside the pages, so that moving about in the product does not stop an upload; closing
 * the tab does, and the browser asks first. What had arrived by then is kept by the server, which tells of it.
 */
let entries: readonly QueuedUpload[] = [];
let nextKey = 1;
const runs = new Map<number, Run>();
/** What was read once is not read again after a pause. */
const hashes = new WeakMap<File, string>();
const listeners = new Set<() => void>();

function replace(next: readonly QueuedUpload[]): void {
  entries = next;
  for (const listener of listeners) listener();
}

function change(key: number, part: Partial<Pick<QueuedUpload, 'stage' | 'uploadId'>>): void {
  replace(entries.map((entry) => (entry.key === key ? { ...entry, ...part } : entry)));
}

function find(key: number): QueuedUpload | undefined {
  return entries.find((entry) => entry.key === key);
}

function fill(): void {
  while (runs.size < LANES) {
    const next = entries.find(({ key, stage }) => stage.kind === 'queued' && !runs.has(key));
    if (!next) return;
    const run: Run = { abort: new AbortController() };
    runs.set(next.key, run);
    void bring(next, run)
      .catch((error) => {
        if (run.abort.signal.aborted) return;
        change(next.key, { stage: { kind: 'failed', error }, ...(isGivenUp(error) && { uploadId: null }) });
      })
      .finally(() => {
        if (runs.get(next.key) === run) runs.delete(next.key);
        fill();
      });
  }
}

/** Takes one file all the way; whatever was done of it before is not done again. */
async function bring({ key, upload, uploadId }: QueuedUpload, run: Run): Promise<void> {
  const id = uploadId ?? (await announce(key, upload, run.abort.signal));
  if (id === undefined) return;
  change(key, { uploadId: id });
  run.abort.signal.throwIfAborted();
  await sendBytes(key, upload.file, id, run).catch((error) => explain(id, error));
  const { logId, isDuplicate, twin } = await readUpload(id);
  if (logId !== null) change(key, { stage: { kind: 'sent', logId, isDuplicate, twin } });
}

/** Tells the server of a file; undefined when it is there already. */
async function announce(
  key: number,
  { file, vehicleId, drivenAt }: LogUpload,
  signal: AbortSignal,
): Promise<string | undefined> {
  const note = (readBytes: number) => change(key, { stage: { kind: 'reading', readBytes } });
  note(0);
  const sha256 = hashes.get(file) ?? (await hashFile(file, note, signal));
  hashes.set(file, sha256);
  const head = await hashHead(file);
  const body = { vehicle: vehicleId, sha256: [sha256] };
  const known = (await send('POST', '/uploads/known', { body, schema: knownLogsResponse })).items[0];
  signal.throwIfAborted();
  if (!known) return beginUpload({ file, vehicleId, drivenAt, sha256, head });
  change(key, { stage: { kind: 'sent', logId: known.logId, isDuplicate: true, twin: null } });
  return undefined;
}

async function sendBytes(key: number, file: File, uploadId: string, run: Run): Promise<void> {
  let first: { readonly bytes: number; readonly atMs: number } | undefined;
  let sentBytes = 0;
  let giveUp = (_error: Error): void => undefined;
  run.sending = sendFile(file, uploadId, {
    onSent: (bytes) => {
      const nowMs = performance.now();
      first ??= { bytes, atMs: nowMs };
      sentBytes = bytes;
      const elapsedMs = nowMs - first.atMs;
      const bytesPerS = elapsedMs < SETTLING_MS ? null : (1000 * (bytes - first.bytes)) / elapsedMs;
      change(key, { stage: { kind: 'sending', sentBytes, bytesPerS } });
    },
    onLost: () => {
      first = undefined;
      change(key, { stage: { kind: 'lost', sentBytes } });
      // A file that was changed or taken away looks like a lost connection, and no try would mend it.
      hashHead(file).catch((error) => giveUp(new UnreadableFile(`${file.name} cannot be read: ${String(error)}`)));
    },
  });
  const stopped = new Promise<never>((_, reject) => {
    giveUp = reject;
    run.abort.signal.addEventListener('abort', () => reject(run.abort.signal.reason), { once: true });
  });
  await Promise.race([run.sending.done, stopped]).finally(() => run.sending?.stop());
}

/** An answer to HEAD has no body that says what was wrong: the same is asked in a way that has one. */
async function explain(uploadId: string, error: unknown): Promise<never> {
  const isUnsaid = error instanceof ApiProblem && error.code === 'server.fault' && error.document.status < 500;
  if (isUnsaid) await readUpload(uploadId);
  throw error;
}

/** The server has nothing of the file any more, so that the next try begins anew. */
function isGivenUp(error: unknown): boolean {
  return error instanceof ApiProblem && [404, 410, 422].includes(error.document.status);
}

function stop(key: number): void {
  const run = runs.get(key);
  run?.sending?.stop();
  run?.abort.abort();
  runs.delete(key);
}

/** How much of a file the server has, as far as this page knows. */
function arrivedBytes({ stage, upload }: QueuedUpload): number {
  if ('sentBytes' in stage) return stage.sentBytes;
  return upload.goesOnWith?.receivedBytes ?? 0;
}

export const uploadQueue = {
  add(uploads: readonly LogUpload[]): void {
    const added = uploads.map((upload) => ({
      key: nextKey++,
      upload,
      stage: { kind: 'queued' } as const,
      uploadId: upload.goesOnWith?.id ?? null,
    }));
    replace([...entries, ...added]);
    fill();
  },

  pause(key: number): void {
    const entry = find(key);
    if (!entry || !isUnsent(entry) || entry.stage.kind === 'paused') return;
    stop(key);
    change(key, { stage: { kind: 'paused', sentBytes: arrivedBytes(entry) } });
    fill();
  },

  /** Goes on with what was paused or failed. */
  resume(key: number): void {
    change(key, { stage: { kind: 'queued' } });
    fill();
  },

  pauseAll(): void {
    for (const { key } of entries) this.pause(key);
  },

  resumeAll(): void {
    for (const { key, stage } of entries) if (stage.kind === 'paused') this.resume(key);
  },

  /** Takes a file off the list. What the server has of it stays there. */
  remove(key: number): void {
    stop(key);
    replace(entries.filter((entry) => entry.key !== key));
    fill();
  },
};

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** The queue as it is now. Lists of logs and uploads are asked for again whenever a file has arrived or begun. */
export function useUploadQueue(): readonly QueuedUpload[] {
  const now = useSyncExternalStore(subscribe, () => entries);
  const client = useQueryClient();
  const arrivedCount = now.filter((entry) => entry.stage.kind === 'sent').length;
  const begunCount = now.filter((entry) => entry.uploadId !== null).length;
  useEffect(() => {
    if (arrivedCount > 0) void client.invalidateQueries({ queryKey: ['logs', 'list'] });
  }, [arrivedCount, client]);
  useEffect(() => {
    if (arrivedCount + begunCount > 0) void client.invalidateQueries({ queryKey: ['uploads'] });
  }, [arrivedCount, begunCount, client]);
  return now;
}

/** Whether a file still has to leave this computer. */
export function isUnsent({ stage }: QueuedUpload): boolean {
  return stage.kind !== 'sent' && stage.kind !== 'failed';
}

window.addEventListener('beforeunload', (event) => {
  if (entries.some(isUnsent)) event.preventDefault();
});

// The browser knows that the network is back before the next try is due.
window.addEventListener('online', () => {
  for (const { key, stage } of entries) if (stage.kind === 'lost') runs.get(key)?.sending?.hurry();
});
