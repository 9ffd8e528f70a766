export type { Actor, Scope } from './actor.js';
export type {
  AnalysisRun,
  AnalysisRunReads,
  AnalysisRunWrites,
  Candidate,
  CandidateDetail,
  CandidateOutcome,
  CandidateSummary,
  FoundBesideShifts,
  KindChange,
  ResultChanges,
  ResultVersions,
  RunMember,
  RunReason,
} from './analysis-runs/analysis-runs.js';
export type {
  Application,
  ApplicationContent,
  ApplicationReads,
  ApplicationState,
  ApplicationWrites,
  Recruitment,
} from './applications/applications.js';
export type { AuditEntry, AuditReads } from './audit/audit.js';
export type { BlobCheck, BlobReader, BlobStore, ReceivedBlob } from './blobs/blobs.js';
export { spoolToFile } from './blobs/spool.js';
export type {
  CalibrationDetail,
  CalibrationReads,
  CalibrationSummary,
  CalibrationWrites,
  RevisionRef,
  RevisionSummary,
} from './calibrations/calibrations.js';
export type {
  CaptureCheck,
  CaptureReads,
  CaptureScore,
  CaptureWrites,
  CheckedCapture,
  LearnableCapture,
  PlatformCapture,
} from './captures/captures.js';
export type { DialectReads, DialectWrites, StoredProfile, StoredSignalList } from './dialects/dialects.js';
export type {
  DraftLock,
  DraftOrigin,
  DraftReads,
  DraftSave,
  DraftSummary,
  DraftWrites,
} from './drafts/drafts.js';
export { NO_OUTCOMES } from './fleet/count-columns.js';
export type {
  DriveStratum,
  FleetFilter,
  FleetReads,
  FleetWrites,
  OutcomeCounts,
  StratumCounts,
  SummaryDifference,
  TrendPoint,
  VehicleCounts,
} from './fleet/fleet.js';
export {
  type Job,
  type JobLease,
  type JobReads,
  type JobState,
  type JobWrites,
  MAX_ATTEMPTS,
  MAX_INTERRUPTIONS,
  type NewJob,
} from './jobs/jobs.js';
export type { LogState, StoredProblem } from './logs/log-state.js';
export type {
  AnalysisInput,
  AnalysisResult,
  InspectionDocument,
  LogDetail,
  LogFilter,
  LogFormat,
  LogQualityDocument,
  LogReads,
  LogSummary,
  LogWrites,
  Note,
  ReadFindingsDocument,
  SignalMapDocument,
  StoredLockUp,
} from './logs/logs.js';
export { openReadOnly, openStore, type StoreOptions } from './open-store.js';
export type { Page, PageRequest } from './page.js';
export type {
  Club,
  Invitation,
  NewPerson,
  NewSession,
  PeopleReads,
  PeopleWrites,
  Person,
  PersonRole,
  Session,
} from './people/people.js';
export type { PlatformDetail, PlatformReads, PlatformSummary, PlatformWrites } from './platforms/platforms.js';
export type { IdempotencyKeys, KeptReply } from './replies/idempotency-keys.js';
export type {
  AskableCar,
  BroughtShifts,
  DriveRequest,
  RequestCar,
  RequestedDrive,
  RequestReads,
  RequestReason,
  RequestState,
  RequestWrites,
} from './requests/requests.js';
export type { Comment, Review, ReviewDecision, ReviewReads, ReviewWrites } from './reviews/reviews.js';
export type {
  EvidenceRow,
  GradeCounts,
  NewShift,
  ShiftFilter,
  ShiftReads,
  ShiftSort,
  StoredShift,
} from './shifts/shifts.js';
export { createSignalWriter } from './signals/create-signal-writer.js';
export { openSignalFile } from './signals/open-signal-file.js';
export type {
  SignalFile,
  SignalFileSummary,
  SignalReader,
  SignalStore,
  SignalWindow,
  SignalWindowQuery,
  SignalWriter,
} from './signals/signals.js';
export type { ReadStore, Reads, Store, StoreStatus } from './store.js';
export { StoreError, type StoreErrorCode } from './store-error.js';
export type { Token, TokenReads, TokenScope, TokenWrites } from './tokens/tokens.js';
export type { NewUpload, Upload, UploadOutcome, UploadReads, UploadStore } from './uploads/uploads.js';
export { dialectVerdict, isDialectCleared } from './vehicles/dialect-verdict.js';
export type {
  DialectDecision,
  DialectObservation,
  DialectVerdict,
  Installation,
  SavedSignalMap,
  VehicleDetail,
  VehicleProfile,
  VehicleReads,
  VehicleSummary,
  VehicleWrites,
} from './vehicles/vehicles.js';
