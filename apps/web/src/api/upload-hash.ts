import { UPLOAD_HEAD_BYTES } from '@syncline/contract';
import type { HashMessage } from './upload-hash-worker.js';
import { Sha256 } from './upload-sha256.js';

/** The file could not be read: it was moved, changed or its medium taken out since it was chosen. */
export class UnreadableFile extends Error {
  override readonly name = 'UnreadableFile';
}

/** Hash of the first bytes of a file, by which it is known again. */
export async function hashHead(file: Blob): Promise<string> {
  const head = await file.slice(0, UPLOAD_HEAD_BYTES).arrayBuffer();
  return new Sha256().update(new Uint8Array(head)).hex();
}

/** Hash of a whole file, taken beside the page so that it stays quick. Throws `UnreadableFile`, or what aborted it. */
export function hashFile(file: File, onRead: (bytes: number) => void, signal: AbortSignal): Promise<string> {
  const worker = new Worker(new URL('./upload-hash-worker.ts', import.meta.url), { type: 'module' });
  return new Promise<string>((resolve, reject) => {
    signal.addEventListener('abort', () => reject(signal.reason), { once: true });
    worker.onerror = (event) => reject(new Error(`The worker broke off: ${event.message}`));
    worker.onmessage = ({ data }: MessageEvent<HashMessage>) => {
      if ('readBytes' in data) onRead(data.readBytes);
      else if ('sha256' in data) resolve(data.sha256);
      else reject(new UnreadableFile(`${file.name} cannot be read any more: ${data.fault}`));
    };
    worker.postMessage(file);
  }).finally(() => worker.terminate());
}
