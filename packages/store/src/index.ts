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
export type { AuditEntry, AuditFilter, AuditReads, AuditState } from './audit/audit.js';
export { ChainCheck, type ChainVerdict } from './audit/chain.js';
export type { BackupSummary, BackupVerdict, MadeBackup } from './backups/backups.js';
export { backupNames, listBackups } from './backups/manifest-file.js';
export { planRetention } from './backups/plan-retention.js';
export { restoreBackup } from './backups/restore-backup.js';
export type { BlobCheck, BlobReader, BlobStore, ReceivedBlob } from './blobs/blobs.js';
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
export type {
  AffectedUnit,
  ControlUnit,
  ControlUnitChange,
  ControlUnitEvent,
  ControlUnitReads,
  ControlUnitWrites,
  UnitMake,
  UnitRecall,
  UnitWait,
} from './control-units/control-units.js';
export type { CredentialReads, CredentialWrites, OpenIdSubject, SecondFactor } from './credentials/credentials.js';
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
  Cohort,
  CohortValue,
  DriveStratum,
  FleetFilter,
  FleetMeasures,
  FleetReads,
  FleetSlices,
  FleetWrites,
  OutcomeCounts,
  StratumCounts,
  SummaryDifference,
  TrendPoint,
  VehicleCounts,
} from './fleet/fleet.js';
export type { SummaryNames } from './fleet/summary-names.js';
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
  LogOutline,
  LogQualityDocument,
  LogReads,
  LogSummary,
  LogWrites,
  Note,
  ReadFindingsDocument,
  SignalMapDocument,
  StoredLockUp,
} from './logs/logs.js';
export type { Hook, NewNotice, Notice, NoticeReads, NoticeWrites } from './notices/notices.js';
export { openReadOnly, openStore, type StoreOptions, verifyBackup } from './open-store.js';
export type { Page, PageRequest } from './page.js';
export type { ErasedPerson } from './people/erase-person.js';
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
export type {
  Adaptation,
  AdaptationDocument,
  EvidenceShift,
  EvidenceVersion,
  ExpectedRateDocument,
  KeptPreview,
  LearntValue,
  NewMoments,
  ProposalDecision,
  ProposalDetail,
  ProposalInputs,
  ProposalPolicyDocument,
  ProposalReads,
  ProposalResult,
  ProposalSummary,
  ProposalTally,
  ProposalWrites,
  StoredMoments,
  TrimDocument,
  VehicleTrims,
} from './proposals/proposals.js';
export type {
  Download,
  ListedRelease,
  ReleasableCar,
  Release,
  ReleaseAnswer,
  ReleaseCar,
  ReleaseCohort,
  ReleaseEvent,
  ReleaseEventKind,
  ReleaseLook,
  ReleaseReads,
  ReleaseState,
  ReleaseWrites,
  StatedRevision,
  StoredPartLook,
} from './releases/releases.js';
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
  FacetValue,
  GradeCounts,
  NewShift,
  ShiftDistribution,
  ShiftFacets,
  ShiftFilter,
  ShiftQuantity,
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
export type { DataVerdict } from './verify/verify-data.js';
