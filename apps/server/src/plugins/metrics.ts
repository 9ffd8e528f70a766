import { createHash, timingSafeEqual } from 'node:crypto';
import type { Store } from '@syncline/store';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import { problem } from '../problem-error.js';

/** Upper edges (s): from a read out of memory to a long download. */
const REQUEST_BUCKETS_S = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 60];
/** Upper edges (s): from a regraded log to a fleet-wide proposal. */
const JOB_BUCKETS_S = [0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60, 300, 1800];

const UPLOADS = new Set(['POST /api/v1/logs', 'POST /api/v1/uploads', 'PATCH /api/v1/uploads/:uploadId']);

export interface JobEnd {
  readonly kind: string;
  readonly outcome: 'done' | 'refused' | 'failed' | 'parked';
  readonly seconds: number;
}

export interface MetricsOptions {
  /** What a reader has to send as a bearer token. */
  readonly token: string;
  readonly store: Store;
  /** Of the newest backup; null while there is none. */
  readonly lastBackupAtMs: () => number | null;
  readonly isReady: () => boolean;
}

/** How a running server is, in the text format of Prometheus. */
export interface Metrics {
  jobEnded(end: JobEnd): void;
}

/**
 * `GET /metrics` for who has the token, and counts every request by route, never by address. What lies in the store is
 * read when it is asked for. Sizes are bytes and times seconds, as their names say.
 */
export function addMetrics(app: FastifyInstance, options: MetricsOptions): Metrics {
  const registry = new Registry();
  // Event-loop delay, memory, processor time, garbage collection, open files.
  collectDefaultMetrics({ register: registry, prefix: 'syncline_' });
  const registers = [registry];
  const requests = new Histogram({
    name: 'syncline_http_request_seconds',
    help: 'Requests by method, route and status, until their answer had left',
    labelNames: ['method', 'route', 'status'],
    buckets: REQUEST_BUCKETS_S,
    registers,
  });
  const uploads = new Counter({
    name: 'syncline_upload_requests_total',
    help: 'Requests that brought bytes of drive logs, by status',
    labelNames: ['status'],
    registers,
  });
  const uploadedBytes = new Counter({
    name: 'syncline_upload_bytes_total',
    help: 'Bytes of drive logs that were taken in, as far as their requests stated a length',
    registers,
  });
  const jobs = new Histogram({
    name: 'syncline_job_seconds',
    help: 'Attempts at jobs by kind and outcome',
    labelNames: ['kind', 'outcome'],
    buckets: JOB_BUCKETS_S,
    registers,
  });
  addStoreGauges(registry, options);

  app.addHook('onResponse', async (request, reply) => {
    // Addresses that nothing answers would make a series each.
    const route = request.routeOptions.url ?? 'none';
    const { method } = request;
    const status = String(reply.statusCode);
    requests.observe({ method, route, status }, reply.elapsedTime / 1000);
    if (!UPLOADS.has(`${method} ${route}`)) return;
    uploads.inc({ status });
    const length = Number(request.headers['content-length'] ?? 0);
    if (reply.statusCode < 300 && Number.isFinite(length)) uploadedBytes.inc(length);
  });

  app.get('/metrics', { config: { access: 'public' }, schema: { hide: true } }, async (request, reply) => {
    if (!isBearer(request, options.token)) {
      reply.header('www-authenticate', 'Bearer');
      throw problem('token.invalid');
    }
    return reply
      .header('cache-control', 'no-store')
      .type(registry.contentType)
      .send(await registry.metrics());
  });
  return { jobEnded: ({ kind, outcome, seconds }) => jobs.observe({ kind, outcome }, seconds) };
}

function addStoreGauges(registry: Registry, { store, lastBackupAtMs, isReady }: MetricsOptions): void {
  const registers = [registry];
  const gauge = (name: string, help: string, read: () => number) =>
    new Gauge({
      name,
      help,
      registers,
      collect() {
        this.set(read());
      },
    });
  new Gauge({
    name: 'syncline_jobs',
    help: 'Jobs by state',
    labelNames: ['state'],
    registers,
    collect() {
      for (const [state, count] of Object.entries(store.read.jobs.countByState())) this.set({ state }, count);
    },
  });
  gauge('syncline_database_bytes', 'Size of the database', () => store.status().databaseBytes);
  gauge('syncline_database_log_bytes', 'Size of its write-ahead log', () => store.status().walBytes);
  gauge('syncline_disk_free_bytes', 'Free on the disk of the data folder', () => store.status().freeBytes);
  gauge('syncline_schema_version', 'Number of migrations applied', () => store.status().schemaVersion);
  gauge('syncline_ready', '1 while the server can do its work', () => Number(isReady()));
  gauge('syncline_last_backup_timestamp_seconds', 'When the newest backup was made; 0 without one', () => {
    return (lastBackupAtMs() ?? 0) / 1000;
  });
}

/** Compares hashes: the time that it takes tells nothing of the token. */
function isBearer({ headers }: FastifyRequest, token: string): boolean {
  const sent = /^bearer +(\S+) *$/i.exec(headers.authorization ?? '')?.[1] ?? '';
  return timingSafeEqual(sha256(sent), sha256(token));
}

function sha256(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}
