import { randomUUID } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import type { Store } from '@syncline/store';
import fastify, { LogController } from 'fastify';
import { serializerCompiler, validatorCompiler, type ZodTypeProvider } from 'fastify-type-provider-zod';
import { createAnalyseLog } from './jobs/analyse-log.js';
import { ANALYSIS_VERSION } from './jobs/analysis-version.js';
import { startBackups } from './jobs/backup-schedule.js';
import { createRegradeLog, createRereadLog } from './jobs/collect-run.js';
import { createFleetQueryPool } from './jobs/fleet-query-pool.js';
import { startHousekeeping } from './jobs/housekeeping.js';
import {
  ANALYSE_LOG,
  MAKE_PROPOSAL,
  PREVIEW_DRAFT,
  PREVIEW_PROPOSAL,
  RECHECK_CAPTURES,
  REGRADE_LOG,
  REREAD_LOG,
  WATCH_RELEASE,
} from './jobs/job-kinds.js';
import { createJobRunner, type JobRunner } from './jobs/job-runner.js';
import { createMakeProposal } from './jobs/proposals/make-proposal.js';
import { createPreviewDraft } from './jobs/proposals/preview-draft.js';
import { createPreviewProposal } from './jobs/proposals/preview-proposal.js';
import { createRecheckCaptures } from './jobs/recheck-captures.js';
import { startWarmUp } from './jobs/warm-up.js';
import { createWatchRelease } from './jobs/watch-release.js';
import { createWorkerPool } from './jobs/worker-pool.js';
import { addAccess, type DeclaredRoute } from './plugins/access.js';
import { cookieScope, createUrlRewriter } from './plugins/base-path.js';
import { addCompression } from './plugins/compress-answers.js';
import {
  addGuessLimits,
  createSendLimit,
  DEFAULT_APPLICATION_LIMIT,
  DEFAULT_GUESS_LIMITS,
  type GuessLimits,
  type SendLimit,
} from './plugins/guess-limits.js';
import { addIdempotency } from './plugins/idempotency.js';
import { logOptions } from './plugins/log-options.js';
import { addMetrics, type Metrics } from './plugins/metrics.js';
import { addOpenApi } from './plugins/openapi.js';
import { addOriginCheck } from './plugins/origin.js';
import { addProblems, sendProblem } from './plugins/problems.js';
import { addRequestLog } from './plugins/request-log.js';
import { addSecurityHeaders } from './plugins/security-headers.js';
import { addSignIn, sessionCookieName } from './plugins/sign-in.js';
import { addStaticFiles } from './plugins/static-files.js';
import { addUnreadBodies } from './plugins/unread-bodies.js';
import { addAnalysisRunRoutes } from './routes/analysis-runs/analysis-run-routes.js';
import type { App } from './routes/app.js';
import { addApplicationRoutes } from './routes/applications/application-routes.js';
import { addAuditRoutes } from './routes/audit/audit-routes.js';
import { addCalibrationRoutes } from './routes/calibrations/calibration-routes.js';
import { addCompareRoutes } from './routes/calibrations/compare-routes.js';
import { addHistoryRoutes } from './routes/calibrations/history-routes.js';
import { addRevisionRoutes } from './routes/calibrations/revision-routes.js';
import { addImportRoute, addTransferRoutes } from './routes/calibrations/transfer-routes.js';
import { addControlUnitRoutes } from './routes/control-units/control-unit-routes.js';
import { addDraftRoutes } from './routes/drafts/draft-routes.js';
import { addFleetRoutes } from './routes/fleet/fleet-routes.js';
import { addHealthRoutes } from './routes/health/health-routes.js';
import { addLogRoutes } from './routes/logs/log-routes.js';
import { addReportRoute } from './routes/logs/report-route.js';
import { addUploadRoute } from './routes/logs/upload-route.js';
import { addNoticeRoutes } from './routes/notices/notice-routes.js';
import { addMemberRoutes } from './routes/people/member-routes.js';
import { addOpenIdRoutes } from './routes/people/openid-routes.js';
import { addPeopleRoutes } from './routes/people/people-routes.js';
import { addSecondFactorRoutes } from './routes/people/second-factor-routes.js';
import { addSessionRoutes } from './routes/people/session-routes.js';
import { addDialectRoutes } from './routes/platforms/dialect-routes.js';
import { addPlatformRoutes } from './routes/platforms/platform-routes.js';
import { addDraftPreviewRoutes } from './routes/proposals/draft-preview-routes.js';
import { addProposalRoutes } from './routes/proposals/proposal-routes.js';
import { addVehicleEvidenceRoutes } from './routes/proposals/vehicle-evidence-routes.js';
import { addOfferRoutes } from './routes/releases/offer-routes.js';
import { addReleaseRoutes } from './routes/releases/release-routes.js';
import { addRequestRoutes } from './routes/requests/request-routes.js';
import { addReviewRoutes } from './routes/reviews/review-routes.js';
import { addServerRoutes } from './routes/server/server-routes.js';
import { addShiftRoutes } from './routes/shifts/shift-routes.js';
import { addTokenRoutes } from './routes/tokens/token-routes.js';
import { createTusExchange } from './routes/uploads/tus-exchange.js';
import { addTusRoutes } from './routes/uploads/tus-routes.js';
import { addUploadRoutes } from './routes/uploads/upload-routes.js';
import { addVehicleRoutes } from './routes/vehicles/vehicle-routes.js';
import { type BackupService, createBackupService } from './services/backups.js';
import { createOutbox, type Outbox } from './services/notices/outbox.js';
import { sendHook } from './services/notices/send-hook.js';
import { createMailSender } from './services/notices/send-mail.js';
import { createPasswords, DEFAULT_HASHING_COST, type HashingCost } from './services/passwords.js';
import { checkReadiness, type Readiness } from './services/readiness.js';
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
  /** Where the log goes; default the standard output. */
  readonly logStream?: { write(line: string): void };
}

export interface BuiltApp {
  readonly app: App;
  readonly jobs: JobRunner;
  readonly outbox: Outbox;
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
  const cookies = cookieScope({ isHttps, basePath: settings.basePath });
  const app: App = fastify({
    logger: logOptions(settings, options.logStream),
    rewriteUrl: createUrlRewriter(settings.basePath),
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

  const pool = createWorkerPool(app.log);
  // Logs wait since the last run: a thread starts while the rest of the server does.
  if (store.read.jobs.hasUrgent()) pool.standBy();
  const fleetQueries = createFleetQueryPool(settings.dataFolder, app.log);
  const { maxLogBytes: maxUnpackedBytes, minFreeBytes } = settings;
  const analysis = { store, pool, maxUnpackedBytes, minFreeBytes };
  const jobs = createJobRunner({
    store,
    handlers: {
      [RECHECK_CAPTURES]: createRecheckCaptures(store),
      [ANALYSE_LOG]: createAnalyseLog(analysis, analysisVersion),
      [REREAD_LOG]: createRereadLog(analysis),
      [REGRADE_LOG]: createRegradeLog(store),
      [MAKE_PROPOSAL]: createMakeProposal(store, pool, (detail) => services.proposals.renew(detail)),
      [PREVIEW_PROPOSAL]: createPreviewProposal(store, pool),
      [PREVIEW_DRAFT]: createPreviewDraft(store, pool, (draftId) => services.draftPreviews.baseOf(draftId)),
      [WATCH_RELEASE]: createWatchRelease(store, (releaseId, signal) => services.releases.watch(releaseId, signal)),
    },
    leaseOwner: randomUUID(),
    concurrency: settings.workerCount,
    log: app.log,
    onEnd: (end) => metrics?.jobEnded(end),
  });
  const backups = createBackupService(store, { settings: settings.backups, clock, log: app.log });
  const readiness = () =>
    checkReadiness({ store, minFreeBytes: settings.minFreeBytes, workerFault: () => pool.fault() });
  const outbox = createOutbox({
    store,
    clock,
    sendMail: settings.mail && createMailSender(settings.mail),
    sendHook,
    isPrivateAllowed: settings.hooksToPrivate,
    log: app.log,
  });
  const services = createServices({
    store,
    clock,
    passwords: createPasswords(options.hashingCost ?? DEFAULT_HASHING_COST),
    uploadLimits: { maxLogBytes: settings.maxLogBytes, quotaBytes: settings.testerQuotaBytes },
    minFreeBytes: settings.minFreeBytes,
    nudgeJobs: () => jobs.nudge(),
    expectLog: () => pool.standBy(),
    nudgeOutbox: () => outbox.nudge(),
    isMailSetUp: settings.mail !== undefined,
    hooksToPrivate: settings.hooksToPrivate,
    signingKey: openSigningKey(settings.dataFolder),
    analysisVersion,
    fleetQueries,
    secondFactorRule: settings.secondFactor,
    openId: settings.openId,
    publicUrl: settings.publicUrl,
  });

  addProblems(app);
  addRequestLog(app);
  addUnreadBodies(app);
  await addSecurityHeaders(app, { isHttps });
  addCompression(app);
  await addSignIn(app, services, cookies);
  addOriginCheck(app, settings.publicUrl);
  const routes = addAccess(app, { lacksSecondFactor: services.secondFactor.isMissing });
  addIdempotency(app, store);
  await addOpenApi(app, { version: VERSION, sessionCookie: sessionCookieName(cookies) });
  const metrics = addMetricsIfAsked(app, { settings, store, backups, readiness });
  const guesses = await addGuessLimits(app, options.guessLimits ?? DEFAULT_GUESS_LIMITS);

  await app.register(
    async (api: App) => {
      addPeopleRoutes(api, { people: services.people, guesses });
      addSessionRoutes(api, { people: services.people, guesses });
      addSecondFactorRoutes(api, { secondFactor: services.secondFactor, guesses });
      addMemberRoutes(api, { members: services.members, guesses });
      addOpenIdRoutes(api, { ...services, guesses, clock, publicUrl: settings.publicUrl, cookies });
      addAuditRoutes(api, { audit: services.audit, clock });
      addServerRoutes(api, {
        store,
        backups,
        readiness,
        startedAtMs: clock(),
        settings,
      });
      addPlatformRoutes(api, services.platforms);
      addDialectRoutes(api, services.dialects);
      addCalibrationRoutes(api, services.calibrations);
      addRevisionRoutes(api, services);
      addCompareRoutes(api, services.comparisons);
      addDraftRoutes(api, services);
      addHistoryRoutes(api, services);
      addTransferRoutes(api, services);
      addReviewRoutes(api, services.reviews);
      addProposalRoutes(api, services.proposals);
      addDraftPreviewRoutes(api, services.draftPreviews);
      addVehicleEvidenceRoutes(api, services.proposals);
      addVehicleRoutes(api, services.vehicles);
      addReleaseRoutes(api, services.releases);
      addOfferRoutes(api, services.offers);
      addControlUnitRoutes(api, services.controlUnits);
      addNoticeRoutes(api, services.notices);
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
  await app.register(async (health: App) => addHealthRoutes(health, () => readiness().isReady), { prefix: '/api' });
  await addStaticFiles(app, options.webFolder ?? WEB_FOLDER, settings.basePath);

  let stopHousekeeping: (() => Promise<void>) | undefined;
  let stopWarmUp: (() => Promise<void>) | undefined;
  let stopBackups: (() => Promise<void>) | undefined;
  app.addHook('onReady', async () => {
    services.reanalysis.takeUp();
    jobs.start();
    outbox.start();
    stopWarmUp = startWarmUp(store.read.fleet, fleetQueries);
    stopHousekeeping = startHousekeeping(store, services, {
      log: app.log,
      clock,
      keepOriginalsDays: settings.keepOriginalsDays,
    });
    stopBackups = startBackups(backups);
  });
  // Runs once no request is under way any more.
  app.addHook('onClose', async () => {
    await stopWarmUp?.();
    await stopHousekeeping?.();
    await stopBackups?.();
    await outbox.stop();
    await jobs.stop();
    await pool.close();
    await fleetQueries.close();
  });
  return { app, jobs, outbox, routes };
}

function addMetricsIfAsked(
  app: App,
  {
    settings,
    store,
    backups,
    readiness,
  }: { settings: Settings; store: Store; backups: BackupService; readiness: () => Readiness },
): Metrics | undefined {
  if (settings.metricsToken === undefined) return undefined;
  return addMetrics(app, {
    token: settings.metricsToken,
    store,
    lastBackupAtMs: backups.lastAtMs,
    isReady: () => readiness().isReady,
  });
}
