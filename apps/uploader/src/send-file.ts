import { statSync } from 'node:fs';
import { basename } from 'node:path';
import type { FoundFile } from './find-files.js';
import { hashFile } from './hash-file.js';
import { sendBytes } from './send-bytes.js';
import { Refusal, type ServerApi } from './server-api.js';
import type { StateFile } from './state-file.js';

export interface SendContext {
  readonly api: ServerApi;
  readonly state: StateFile;
  readonly vehicleId: string;
  readonly giveUpMs: number;
  readonly signal: AbortSignal;
  readonly onSent: (bytes: number) => void;
  readonly onLost: () => void;
}

/** A file that is on the server now. */
export interface SentResult {
  readonly logId: string;
  /** Whether its bytes were there before. */
  readonly isDuplicate: boolean;
  /** Name of another log of the car that holds the same, packed otherwise. */
  readonly twin: string | null;
}

/** Brings one file to the server and remembers it. Throws Refusal for what will not be taken, Unreachable, FatalError. */
export async function sendFile(file: FoundFile, context: SendContext): Promise<SentResult> {
  const { api, state, vehicleId, signal } = context;
  const hashes = await hashFile(file.path, signal);
  assertUnchanged(file);
  const known = await api.findKnown(vehicleId, hashes.sha256);
  const result = known ? { logId: known, isDuplicate: true, twin: null } : await sendNew(file, hashes, context);
  const { sizeBytes, modifiedMs } = file;
  state.noteSent(file.path, { sizeBytes, modifiedMs, sha256: hashes.sha256, logId: result.logId });
  return result;
}

async function sendNew(
  file: FoundFile,
  hashes: { readonly sha256: string; readonly head: string },
  context: SendContext,
): Promise<SentResult> {
  const { api, state, vehicleId, signal, giveUpMs, onSent, onLost } = context;
  const { sha256 } = hashes;
  const begun = state.uploadOf(sha256) ?? (await api.findUnfinished(vehicleId, sha256));
  const begin = () =>
    api.begin({
      vehicleId,
      fileName: basename(file.path),
      sizeBytes: file.sizeBytes,
      drivenAt: new Date(file.modifiedMs).toISOString(),
      ...hashes,
    });
  const send = async (uploadId: string) => {
    state.noteBegun(sha256, uploadId);
    await sendBytes(file.path, {
      url: api.uploadUrl(uploadId),
      headers: api.headers,
      signal,
      giveUpMs,
      onSent,
      onLost,
    });
    return uploadId;
  };
  try {
    const uploadId = begun === undefined ? await send(await begin()) : await goOn(begun, send, begin);
    const { logId, isDuplicate, twin } = await api.find(uploadId);
    if (logId === null) throw new Refusal(422, 'The server has every byte and no log of it. Send it again.');
    return { logId, isDuplicate, twin: twin?.fileName ?? null };
  } catch (error) {
    if (error instanceof Refusal) state.noteGivenUp(sha256);
    throw error;
  }
}

/** What was begun may have been given up by the server meanwhile; then it begins anew, once. */
async function goOn(
  begun: string,
  send: (uploadId: string) => Promise<string>,
  begin: () => Promise<string>,
): Promise<string> {
  try {
    return await send(begun);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return send(await begin());
  }
}

function assertUnchanged({ path, sizeBytes, modifiedMs }: FoundFile): void {
  const now = statSync(path, { throwIfNoEntry: false });
  if (now?.size === sizeBytes && now.mtimeMs === modifiedMs) return;
  throw new Refusal(409, 'It changed while it was read: somebody still writes to it.');
}
