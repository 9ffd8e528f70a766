import { closeSync, createReadStream, mkdtempSync, openAsBlob, openSync, readSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import type { LogSummary, SignalMapDocument } from '@syncline/contract';
import { inspectLog, suggestSignalMap } from '@syncline/drivelog';
import { createIds } from '@syncline/server';
import { openStore, type Store } from '@syncline/store';
import type { Api } from '../support/api.ts';
import { type ServerProcess, startServerProcess } from '../support/server-process.ts';
import { enterCar, foundTernClub, joinClub, type TernClub, uploadFile } from '../support/tern-club.ts';
import { peakMemoryBytes } from '../uploads/peak-memory.ts';

export const METRICS_TOKEN = 'bench-of-its-own-server';
const SYSTEM = { kind: 'system', id: null, name: 'bench', requestId: 'bench' } as const;
/** Seldom, so that asking costs nothing beside the work; times come from the server itself. */
const POLL_MS = 250;
/** What a log's job took is told within milliseconds of its result. */
const TOLD_MS = 20;
const HEAD_BYTES = 1 << 16;

/** A club whose server can be stopped, so that logs are put into its store by hand, and started anew. */
export class BenchClub {
  private readonly folder: string;
  private readonly settings: Readonly<Record<string, string>>;
  private server: ServerProcess | undefined;
  private club: TernClub | undefined;

  constructor(settings: Readonly<Record<string, string>> = {}) {
    this.folder = mkdtempSync(join(tmpdir(), 'syncline-bench-club-'));
    this.settings = { SYNCLINE_METRICS_TOKEN: METRICS_TOKEN, SYNCLINE_BACKUP_HOURS: '0', ...settings };
  }

  /** Founds the club: one tester, whose car has the columns of a log mapped as the server itself suggests. */
  async found(head: Uint8Array): Promise<TernClub> {
    const { baseUrl } = await this.start();
    const club = await foundTernClub(baseUrl);
    this.club = club;
    await mapColumns(club.tester, club.vehicleId, head);
    return club;
  }

  async start(settings: Readonly<Record<string, string>> = {}): Promise<ServerProcess> {
    this.server = await startServerProcess(join(this.folder, 'data'), { ...this.settings, ...settings });
    if (this.club) {
      const { maintainer, tester } = this.club;
      this.club = { ...this.club, maintainer: maintainer.movedTo(this.baseUrl), tester: tester.movedTo(this.baseUrl) };
    }
    return this.server;
  }

  async stop(): Promise<void> {
    await this.server?.stop();
    this.server = undefined;
  }

  async end(): Promise<void> {
    await this.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  get members(): TernClub {
    if (!this.club) throw new Error('the club is not founded');
    return this.club;
  }

  get baseUrl(): string {
    if (!this.server) throw new Error('the server is not running');
    return this.server.baseUrl;
  }

  /** Most memory that the server had resident since its start (bytes). */
  get peakBytes(): number {
    return peakMemoryBytes(this.server?.pid ?? 0);
  }

  /** Works on the store while no server has it. */
  async withStore<Result>(work: (store: Store) => Result): Promise<Awaited<Result>> {
    const clock = Date.now;
    const store = openStore({ folder: join(this.folder, 'data'), clock, ids: createIds(clock), minFreeBytes: 0 });
    try {
      return await work(store);
    } finally {
      store.close();
    }
  }

  /** Another tester with a car like the first. */
  async addTester(head: Uint8Array): Promise<{ readonly api: Api; readonly vehicleId: string }> {
    const { maintainer } = this.members;
    const campion = { name: 'Campion', email: 'campion@club.test', password: 'campion on the shore' };
    const api = await joinClub(maintainer, 'tester', campion);
    const vehicleId = await enterCar({ ...this.members, tester: api });
    await mapColumns(api, vehicleId, head);
    return { api, vehicleId };
  }

  /** Puts a log into the store of the server that was stopped: it is analysed as soon as the server starts. */
  addLog(path: string, fileName: string): Promise<string> {
    const { vehicleId } = this.members;
    return this.withStore(async (store) => {
      const blob = await store.blobs.receive(createReadStream(path), { maxBytes: 1e12 });
      const log = { actor: SYSTEM, vehicleId, fileName, drivenAtMs: Date.now(), blob, jobFor: jobOf };
      return store.logs.add(log).logId;
    });
  }

  /** Sends a log to the running server, which analyses it at once; gives its id. */
  async upload(path: string, fileName: string): Promise<string> {
    const { tester, vehicleId } = this.members;
    return (await uploadFile(tester, vehicleId, await openAsBlob(path), fileName)).id;
  }

  /** Waits until a log is analysed. */
  async ready(logId: string): Promise<void> {
    for (;;) {
      const { state, problem } = await this.members.tester.get<LogSummary>(`/logs/${logId}`);
      if (state === 'ready') return;
      if (state === 'failed' || state === 'awaitingMap') throw new Error(`log ${logId}: ${problem?.detail ?? state}`);
      await setTimeout(POLL_MS);
    }
  }

  /** How long the job of a log took that is ready, the first since the server was started (s): told right after it is. */
  async jobSeconds(): Promise<number> {
    for (;;) {
      const seconds = await this.metric('syncline_job_seconds_sum{kind="analyseLog",outcome="done"}');
      if (seconds > 0) return seconds;
      await setTimeout(TOLD_MS);
    }
  }

  /** Sum over the samples of a metric whose line begins so, since the server was started. */
  async metric(beginning: string): Promise<number> {
    const response = await fetch(`${this.baseUrl}/metrics`, { headers: { authorization: `Bearer ${METRICS_TOKEN}` } });
    if (!response.ok) throw new Error(`metrics: ${response.status}`);
    const lines = (await response.text()).split('\n').filter((line) => line.startsWith(beginning));
    return lines.reduce((sum, line) => sum + Number(line.slice(line.lastIndexOf(' '))), 0);
  }
}

/** The map that the columns of a log suggest, agreed to for a car. */
export async function mapColumns(owner: Api, vehicleId: string, head: Uint8Array): Promise<void> {
  const { map } = suggestSignalMap(inspectLog(head));
  await owner.put(`/vehicles/${vehicleId}/signal-map`, map as unknown as SignalMapDocument);
}

/** The first bytes of a file. */
export function headOf(path: string): Uint8Array {
  const file = openSync(path, 'r');
  const head = new Uint8Array(HEAD_BYTES);
  const length = readSync(file, head);
  closeSync(file);
  return head.subarray(0, length);
}

function jobOf(logId: string) {
  return { kind: 'analyseLog', inputKey: logId, logId };
}
