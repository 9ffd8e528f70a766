import { randomUUID } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import type { Store } from '@syncline/store';
import fastify, { LogController } from 'fastify';
import { serializerCompiler, validatorCompiler, type ZodTypeProvider } from 'fastify-type-provider-zod';
import { createAnalyseLog } from './jobs/analyse-log.js';
import { ANALYSIS_VERSION } from './jobs/analysis-version.js';
import { createRegradeLog, createRereadLog } from './jobs/collect-run.js';
import { startHousekeeping } from './jobs/housekeeping.js';
import { ANALYSE_LOG, RECHECK_CAPTURES, REGRADE_LOG, REREAD_LOG } from './jobs/job-kinds.js';
import { createJobRunner, type JobRunner } from './jobs/job-runner.js';
import { createRecheckCaptures } from './jobs/recheck-captures.js';
import { createWorkerPool } from './jobs/worker-pool.js';
import { addAccess, type DeclaredRoute } from './plugins/access.js';
import {
  addGuessLimits,
  createSendLimit,
  DEFAULT_APPLICATION_LIMIT,
  DEFAULT_GUESS_LIMITS,
  type GuessLimits,
  type SendLimit,
} from './plugins/guess-limits.js';
import { addIdempotency } from './plugins/idempotency.js';
import { addOpenApi } from './plugins/openapi.js';
import { addOriginCheck } from './plugins/origin.js';
import { addProblems, sendProblem } from './plugins/problems.js';
import { addRequestLog } from './plugins/request-log.js';
import { addSecurityHeaders } from './plugins/security-headers.js';
import { addSignIn } from './plugins/sign-in.js';
import { addStaticFiles } from './plugins/static-files.js';
import { addAnalysisRunRoutes } from './routes/analysis-runs/analysis-run-routes.js';
import type { App } from './routes/app.js';
import { addApplicationRoutes } from './routes/applications/application-routes.js';
import { addCalibrationRoutes } from './routes/calibrations/calibration-routes.js';
import { addHistoryRoutes } from './routes/calibrations/history-routes.js';
import { addRevisionRoutes } from './routes/calibrations/revision-routes.js';
import { addImportRoute, addTransferRoutes } from './routes/calibrations/transfer-routes.js';
import { addDraftRoutes } from './routes/drafts/draft-routes.js';
import { addFleetRoutes } from './routes/fleet/fleet-routes.js';
import { addHealthRoutes } from './routes/health/health-routes.js';
import { addLogRoutes } from './routes/logs/log-routes.js';
import { addReportRoute } from './routes/logs/report-route.js';
import { addUploadRoute } from './routes/logs/upload-route.js';
import { addPeopleRoutes } from './routes/people/people-routes.js';
import { addDialectRoutes } from './routes/platforms/dialect-routes.js';
import { addPlatformRoutes } from './routes/platforms/platform-routes.js';
import { addRequestRoutes } from './routes/requests/request-routes.js';
import { addReviewRoutes } from './routes/reviews/review-routes.js';
import { addShiftRoutes } from './routes/shifts/shift-routes.js';
import { addTokenRoutes } from './routes/tokens/token-routes.js';
import { createTusExchange } from './routes/uploads/tus-exchange.js';
import { addTusRoutes } from './routes/uploads/tus-routes.js';
import { addUploadRoutes } from './routes/uploads/upload-routes.js';
import { addVehicleRoutes } from './routes/vehicles/vehicle-routes.js';
import { createPasswords, DEFAULT_HASHING_COST, type HashingCost } from './services/passwords.js';
import { createServices } from './services/services.js';
import { openSigningKey } from './services/signing-key.js';
import type { Settings } from './settings.js';
import { VERSION } from './version.js';

export interface AppOptions {
  readonly settings: Settings;
  /** Open; the caller closes it after the app. */
  readonly store: Store;
  readonly clock: () => number;
  /** Default: those of `DEFAULT_HASHING_COST`. Tests take less. */
  readonly hashingCost?: HashingCost;
  readonly guessLimits?: GuessLimits;
  /** How often one address may apply to be a tester. */
  readonly applicationLimit?: SendLimit;
  /** Of the results that are made; default the one of this program. Tests rise it. */
  readonly analysisVersion?: number;
  /** Built web pages; default those of this repository. */
  readonly webFolder?: string;
}

export interface BuiltApp {
  readonly app: App;
  readonly jobs: JobRunner;
  /** Every route with who may call it, complete once the app is ready. */
  readonly routes: readonly DeclaredRoute[];
}

const WEB_FOLDER = fileURLToPath(new URL('../../web/dist', import.meta.url));

/** A connection on which nothing moves for so long is given up, an upload too; its sender may begin anew. */
const SILENCE_MS = 120_000;

/** Wires plugins, services, routes and jobs; the only place that does. Jobs run from `ready` until `close`. */
export async function buildApp(options: AppOptions): Promise<BuiltApp> {
  const { settings, store, clock, analysisVersion = ANALYSIS_VERSION } = options;
  const isHttps = settings.publicUrl?.startsWith('https:') ?? false;
  const app: App = fastify({
    logger: { level: settings.logLevel },
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: () => randomUUID(),
    trustProxy: [...settings.trustedProxies],
    routerOptions: { maxParamLength: 200 },
    forceCloseConnections: 'idle',
    connectionTimeout: SILENCE_MS,
    frameworkErrors: (error, request, reply) =>
      sendProblem(reply, request, 'request.invalid', { detail: error.message }),
  }).withTypeProvider<ZodTypeProvider>();
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);

  const pool = createWorkerPool(settings.workerCount, app.log);
  const { maxLogBytes: maxUnpackedBytes, minFreeBytes } = settings;
  const analysis = { store, pool, maxUnpackedBytes, minFreeBytes };
  const jobs = createJobRunner({
    store,
    handlers: {
      [RECHECK_CAPTURES]: createRecheckCaptures(store),
      [ANALYSE_LOG]: createAnalyseLog(analysis, analysisVersion),
      [REREAD_LOG]: createRereadLog(analysis),
      [REGRADE_LOG]: createRegradeLog(store),
    },
    leaseOwner: randomUUID(),
    concurrency: settings.workerCount,
    log: app.log,
  });
  const services = createServices({
    store,
    clock,
    passwords: createPasswords(options.hashingCost ?? DEFAULT_HASHING_COST),
    uploadLimits: { maxLogBytes: settings.maxLogBytes, quotaBytes: settings.testerQuotaBytes },
    minFreeBytes: settings.minFreeBytes,
    nudgeJobs: () => jobs.nudge(),
    signingKey: openSigningKey(settings.dataFolder),
    analysisVersion,
  });

  addProblems(app);
  addRequestLog(app);
  await addSecurityHeaders(app, { isHttps });
  await addSignIn(app, services, { isHttps });
  addOriginCheck(app, settings.publicUrl);
  const routes = addAccess(app);
  addIdempotency(app, store);
  await addOpenApi(app, VERSION);
  const guesses = await addGuessLimits(app, options.guessLimits ?? DEFAULT_GUESS_LIMITS);

  await app.register(
    async (api: App) => {
      addPeopleRoutes(api, { people: services.people, audit: store.read.audit, guesses });
      addPlatformRoutes(api, services.platforms);
      addDialectRoutes(api, services.dialects);
      addCalibrationRoutes(api, services.calibrations);
      addRevisionRoutes(api, services);
      addDraftRoutes(api, services);
      addHistoryRoutes(api, services);
      addTransferRoutes(api, services);
      addReviewRoutes(api, services.reviews);
      addVehicleRoutes(api, services.vehicles);
      addLogRoutes(api, services);
      addReportRoute(api, services.reports);
      addAnalysisRunRoutes(api, services.reanalysis);
      addShiftRoutes(api, services.shifts);
      addFleetRoutes(api, services.fleet);
      addRequestRoutes(api, services);
      const byApplicant = createSendLimit(app, options.applicationLimit ?? DEFAULT_APPLICATION_LIMIT);
      addApplicationRoutes(api, { ...services, limits: { byAddress: guesses.byAddress, byApplicant } });
      await api.register(async (files: App) => addImportRoute(files, services.transfer));
      addTokenRoutes(api, services.tokens);
      addUploadRoutes(api, services);
      await api.register(async (upload: App) => addUploadRoute(upload, services.uploads));
      const exchange = createTusExchange(store, { locks: services.uploadLocks, maxBytes: settings.maxLogBytes });
      await api.register(async (tus: App) => addTusRoutes(tus, { resumable: services.resumable, exchange }));
    },
    { prefix: '/api/v1' },
  );
  await app.register(async (health: App) => addHealthRoutes(health, () => isAnswering(store)), { prefix: '/api' });
  await addStaticFiles(app, options.webFolder ?? WEB_FOLDER);

  let stopHousekeeping: (() => Promise<void>) | undefined;
  app.addHook('onReady', async () => {
    services.reanalysis.takeUp();
    jobs.start();
    stopHousekeeping = startHousekeeping(store, services, app.log);
  });
  // Runs once no request is under way any more.
  app.addHook('onClose', async () => {
    await stopHousekeeping?.();
    await jobs.stop();
    await pool.close();
  });
  return { app, jobs, routes };
}

function isAnswering(store: Store): boolean {
  try {
    store.read.people.findClub();
    return true;
  } catch {
    return false;
  }
}
