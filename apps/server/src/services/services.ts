import type { Store } from '@syncline/store';
import { createApplicationService } from './applications/applications.js';
import { createRecruitmentService } from './applications/recruitment.js';
import { createCalibrationService } from './calibrations.js';
import { createCommandedService } from './commanded.js';
import { createComparisonService } from './comparisons.js';
import { createContentService } from './contents.js';
import { createDialectService } from './dialects.js';
import { createDraftService } from './drafts.js';
import { createEvidenceService } from './evidence.js';
import { createFleetService } from './fleet.js';
import { createLogService } from './logs.js';
import { createMergeService } from './merges.js';
import { createMigrationService } from './migrations.js';
import type { Passwords } from './passwords.js';
import { createPeopleService } from './people.js';
import { createPlatformService } from './platforms.js';
import { createReanalysisService } from './reanalysis.js';
import { createReportService } from './reports.js';
import { createGapService } from './requests/gaps.js';
import { createRequestService } from './requests/requests.js';
import { createResumableUploadService } from './resumable-uploads.js';
import { createReviewService } from './reviews.js';
import { createScheduleReplayService } from './schedule-replay.js';
import { createShiftService } from './shifts.js';
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
  readonly signingKey: SigningKey;
  readonly analysisVersion: number;
}) {
  const { store, clock, passwords, uploadLimits, minFreeBytes, nudgeJobs, signingKey, analysisVersion } = options;
  const reanalysis = createReanalysisService(store, { analysisVersion, nudgeJobs });
  const platforms = createPlatformService(store, reanalysis);
  const calibrations = createCalibrationService(store);
  const drafts = createDraftService(store, calibrations);
  const contents = createContentService(calibrations, drafts);
  const logs = createLogService(store, nudgeJobs);
  const fleet = createFleetService(store, platforms);
  const uploads = createUploadService(store, { limits: uploadLimits, clock, nudgeJobs });
  const uploadLocks = new UploadLocks();
  const people = createPeopleService(store, clock, passwords);
  const recruitment = createRecruitmentService(store, clock);
  const gaps = createGapService(store, { platforms, clock });
  return {
    people,
    platforms,
    reanalysis,
    dialects: createDialectService(store, platforms, nudgeJobs),
    calibrations,
    drafts,
    merges: createMergeService(calibrations, drafts),
    migrations: createMigrationService(calibrations, drafts),
    transfer: createTransferService(calibrations, drafts),
    signing: createSigningService(calibrations, signingKey),
    reviews: createReviewService(store, calibrations),
    commanded: createCommandedService(contents),
    comparisons: createComparisonService(store, calibrations, contents),
    scheduleReplay: createScheduleReplayService(store, calibrations, logs),
    evidence: createEvidenceService(store, calibrations),
    vehicles: createVehicleService(store, clock, nudgeJobs),
    tokens: createTokenService(store, clock),
    uploads,
    uploadLocks,
    resumable: createResumableUploadService(store, { uploads, locks: uploadLocks, minFreeBytes, clock, nudgeJobs }),
    logs,
    signals: createSignalService(store, logs),
    shifts: createShiftService(store),
    fleet,
    gaps,
    requests: createRequestService(store, { gaps, clock }),
    recruitment,
    applications: createApplicationService(store, { recruitment, people, clock }),
    reports: createReportService(store, { logs, fleet }),
  };
}
