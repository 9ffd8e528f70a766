import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { LogSummary } from '@syncline/contract';
import { createIds } from '@syncline/server';
import { openStore } from '@syncline/store';
import { startServerProcess } from '../support/server-process.ts';
import { writeBigDrive } from './big-drive.ts';
import { startCuttingProxy } from './cutting-proxy.ts';
import { peakMemoryBytes } from './peak-memory.ts';
import { testerWithToken } from './tester-with-token.ts';
import { startUploader } from './uploader-process.ts';

/** What came of an upload over a link that breaks again and again. */
export interface DroppingUpload {
  readonly exitCode: number | null;
  readonly output: string;
  readonly cutCount: number;
  readonly sentSha256: string;
  /** Of the bytes that the server keeps, read again from its data folder. */
  readonly keptSha256: string;
  readonly logs: readonly LogSummary[];
  /** Of the server, before the first byte and at its highest. */
  readonly idleMemoryBytes: number;
  readonly peakMemoryBytes: number;
  readonly uploadS: number;
}

/** Sends a file of `sizeBytes` with the command over a link that breaks after every `cutAfterBytes`. */
export async function uploadOverDroppingLink(options: {
  readonly sizeBytes: number;
  readonly cutAfterBytes: number;
}): Promise<DroppingUpload> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-dropping-'));
  try {
    return await upload(folder, options);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function upload(
  folder: string,
  { sizeBytes, cutAfterBytes }: { readonly sizeBytes: number; readonly cutAfterBytes: number },
): Promise<DroppingUpload> {
  const [dataFolder, file] = [join(folder, 'data'), join(folder, 'long-drive.csv')];
  const sentSha256 = await writeBigDrive(file, sizeBytes);
  const server = await startServerProcess(dataFolder);
  const { tester, vehicleId, token } = await testerWithToken(server.baseUrl);
  const proxy = await startCuttingProxy(server.baseUrl, cutAfterBytes);
  const idleMemoryBytes = peakMemoryBytes(server.pid);
  const startedAtMs = performance.now();
  const uploader = startUploader(
    ['--server', proxy.baseUrl, '--vehicle', vehicleId, '--state', join(folder, 'state.json'), file],
    token,
  );
  const exitCode = await uploader.ended;
  const uploadS = (performance.now() - startedAtMs) / 1000;
  const memory = peakMemoryBytes(server.pid);
  const { items } = await tester.get<{ items: LogSummary[] }>('/logs');
  await proxy.close();
  await server.stop();
  return {
    exitCode,
    output: uploader.output(),
    cutCount: proxy.cutCount,
    sentSha256,
    keptSha256: await hashOfKept(dataFolder, items[0]?.sha256 ?? ''),
    logs: items,
    idleMemoryBytes,
    peakMemoryBytes: memory,
    uploadS,
  };
}

async function hashOfKept(dataFolder: string, sha256: string): Promise<string> {
  const store = openStore({ folder: dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
  try {
    const hash = createHash('sha256');
    for await (const chunk of store.blobs.open(sha256)) hash.update(chunk as Uint8Array);
    return hash.digest('hex');
  } finally {
    store.close();
  }
}
