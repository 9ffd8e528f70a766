import type { Store } from '@syncline/store';
import { createApplicationService } from './applications/applications.js';
import { createRecruitmentService } from './applications/recruitment.js';
import { createAuditTrailService } from './audit-trail.js';
import { createCalibrationService } from './calibrations.js';
import { createCommandedService } from './commanded.js';
import { createComparisonService } from './comparisons.js';
import { createContentService } from './contents.js';
import { createControlUnitService } from './control-units/control-units.js';
import { createDialectService } from './dialects.js';
import { createDraftService } from './drafts.js';
import { createEvidenceService } from './evidence.js';
import { createFleetService } from './fleet.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';
import { createLogService } from './logs.js';
import { createMergeService } from './merges.js';
import { createMigrationService } from './migrations.js';
import { createNoticeService } from './notices/notices.js';
import type { Passwords } from './passwords.js';
import { createPeopleService } from './people.js';
import { createPlatformService } from './platforms.js';
import { createDraftPreviewService } from './proposals/draft-previews.js';
import { createProposalService } from './proposals/proposals.js';
import { createReanalysisService } from './reanalysis.js';
import { createOfferService } from './releases/offers.js';
import { createReleaseService } from './releases/releases.js';
import { createReleaseTeller } from './releases/tell.js';
import { createReportService } from './reports.js';
import { createGapService } from './requests/gaps.js';
import { createRequestService } from './requests/requests.js';
import { createResumableUploadService } from './resumable-uploads.js';
import { createReviewService } from './reviews.js';
import { createScheduleReplayService } from './schedule-replay.js';
import { createShiftService } from './shifts.js';
import { createMemberService } from './sign-in/members.js';
import { createOpenIdService, type OpenIdSettings } from './sign-in/openid.js';
import { createSecondFactorService, type SecondFactorRule } from './sign-in/second-factor.js';
import { createSignalService } from './signals.js';
import { createSigningService } from './signing.js';
import type { SigningKey } from './signing-key.js';
import { createTokenService } from './tokens.js';
import { createTransferService } from './transfer.js';
import { UploadLocks } from './upload-locks.js';
import { createUploadService, type UploadLimits } from './uploads.js';
import { createVehicleService } from './vehicles.js';

export type Services = ReturnType<typeof createServices>;

/** Every use case of the product, over one store. */
export function createServices(options: {
  readonly store: Store;
  readonly clock: () => number;
  readonly passwords: Passwords;
  readonly uploadLimits: UploadLimits;
  readonly minFreeBytes: number;
  readonly nudgeJobs: () => void;
  /** Says that the bytes of a log are coming in. */
  readonly expectLog: () => void;
  /** Says that a message may have been queued. */
  readonly nudgeOutbox: () => void;
  readonly isMailSetUp: boolean;
  /** Whether web hooks may lead to private addresses. */
  readonly hooksToPrivate: boolean;
  readonly signingKey: SigningKey;
  readonly analysisVersion: number;
  readonly fleetQueries: FleetQueryPool;
  readonly secondFactorRule: SecondFactorRule;
  readonly openId: OpenIdSettings | undefined;
  readonly publicUrl: string | undefined;
}) {
  const { store, clock, passwords, uploadLimits, minFreeBytes, nudgeJobs, signingKey, analysisVersion } = options;
  const { fleetQueries, expectLog } = options;
  const reanalysis = createReanalysisService(store, { analysisVersion, nudgeJobs });
  const platforms = createPlatformService(store, reanalysis);
  const calibrations = createCalibrationService(store);
  const drafts = createDraftService(store, calibrations);
  const contents = createContentService(calibrations, drafts);
  const logs = createLogService(store, nudgeJobs);
  const fleet = createFleetService(store, { platforms, queries: fleetQueries });
  const uploads = createUploadService(store, { limits: uploadLimits, clock, nudgeJobs, expectLog });
  const uploadLocks = new UploadLocks();
  const secondFactor = createSecondFactorService(store, { clock, passwords, rule: options.secondFactorRule });
  const people = createPeopleService(store, { clock, passwords, secondFactor });
  const recruitment = createRecruitmentService(store, clock);
  const proposals = createProposalService(store, { calibrations, drafts, clock, analysisVersion, nudgeJobs });
  const gaps = createGapService(store, { platforms, clock });
  const transfer = createTransferService(calibrations, drafts);
  const signing = createSigningService(calibrations, signingKey);
  const { isMailSetUp, publicUrl, nudgeOutbox } = options;
  const telling = { isMailSetUp, publicUrl, nudgeOutbox };
  const teller = createReleaseTeller(store, { ...telling, signing });
  const releases = createReleaseService(store, { calibrations, platforms, teller, nudgeJobs, clock });
  return {
    people,
    secondFactor,
    members: createMemberService(store, { clock, passwords, secondFactor }),
    openId: createOpenIdService(store, { settings: options.openId, publicUrl: options.publicUrl }),
    audit: createAuditTrailService(store),
    platforms,
    reanalysis,
    dialects: createDialectService(store, platforms, nudgeJobs),
    calibrations,
    drafts,
    merges: createMergeService(calibrations, drafts),
    migrations: createMigrationService(calibrations, drafts),
    transfer,
    signing,
    releases,
    offers: createOfferService(store, { releases, calibrations, transfer, signing, clock }),
    controlUnits: createControlUnitService(store, telling),
    notices: createNoticeService(store, { isPrivateAllowed: options.hooksToPrivate, isMailSetUp: options.isMailSetUp }),
    reviews: createReviewService(store, calibrations),
    commanded: createCommandedService(contents),
    comparisons: createComparisonService(store, { calibrations, contents, queries: fleetQueries }),
    scheduleReplay: createScheduleReplayService(store, calibrations, logs),
    evidence: createEvidenceService(store, calibrations),
    vehicles: createVehicleService(store, { clock, nudgeJobs, queries: fleetQueries }),
    proposals,
    draftPreviews: createDraftPreviewService(store, { calibrations, drafts, proposals, nudgeJobs }),
    tokens: createTokenService(store, clock),
    uploads,
    uploadLocks,
    resumable: createResumableUploadService(store, {
      uploads,
      locks: uploadLocks,
      minFreeBytes,
      clock,
      nudgeJobs,
      expectLog,
    }),
    logs,
    signals: createSignalService(store, logs),
    shifts: createShiftService(store, fleetQueries),
    fleet,
    gaps,
    requests: createRequestService(store, { gaps, clock }),
    recruitment,
    applications: createApplicationService(store, { recruitment, people, clock }),
    reports: createReportService(store, { logs, fleet, queries: fleetQueries }),
  };
}
