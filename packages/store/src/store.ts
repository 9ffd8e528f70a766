import type { AnalysisRunReads, AnalysisRunWrites } from './analysis-runs/analysis-runs.js';
import type { ApplicationReads, ApplicationWrites } from './applications/applications.js';
import type { AuditReads } from './audit/audit.js';
import type { MadeBackup } from './backups/backups.js';
import type { BlobReader, BlobStore } from './blobs/blobs.js';
import type { CalibrationReads, CalibrationWrites } from './calibrations/calibrations.js';
import type { CaptureReads, CaptureWrites } from './captures/captures.js';
import type { ControlUnitReads, ControlUnitWrites } from './control-units/control-units.js';
import type { CredentialReads, CredentialWrites } from './credentials/credentials.js';
import type { DialectReads, DialectWrites } from './dialects/dialects.js';
import type { DraftReads, DraftWrites } from './drafts/drafts.js';
import type { FleetReads, FleetWrites, SummaryDifference } from './fleet/fleet.js';
import type { JobReads, JobWrites } from './jobs/jobs.js';
import type { LogReads, LogWrites } from './logs/logs.js';
import type { NoticeReads, NoticeWrites } from './notices/notices.js';
import type { PeopleReads, PeopleWrites } from './people/people.js';
import type { PlatformReads, PlatformWrites } from './platforms/platforms.js';
import type { ProposalReads, ProposalWrites } from './proposals/proposals.js';
import type { ReleaseReads, ReleaseWrites } from './releases/releases.js';
import type { IdempotencyKeys } from './replies/idempotency-keys.js';
import type { RequestReads, RequestWrites } from './requests/requests.js';
import type { ReviewReads, ReviewWrites } from './reviews/reviews.js';
import type { ShiftReads } from './shifts/shifts.js';
import type { SignalReader, SignalStore } from './signals/signals.js';
import type { TokenReads, TokenWrites } from './tokens/tokens.js';
import type { UploadReads, UploadStore } from './uploads/uploads.js';
import type { VehicleReads, VehicleWrites } from './vehicles/vehicles.js';
import type { DataVerdict } from './verify/verify-data.js';

/** Reads, each shaped for one page or one worker. */
export interface Reads {
  readonly analysisRuns: AnalysisRunReads;
  readonly applications: ApplicationReads;
  readonly audit: AuditReads;
  readonly calibrations: CalibrationReads;
  readonly captures: CaptureReads;
  readonly credentials: CredentialReads;
  readonly controlUnits: ControlUnitReads;
  readonly dialects: DialectReads;
  readonly drafts: DraftReads;
  readonly fleet: FleetReads;
  readonly jobs: JobReads;
  readonly logs: LogReads;
  readonly notices: NoticeReads;
  readonly people: PeopleReads;
  readonly platforms: PlatformReads;
  readonly proposals: ProposalReads;
  readonly releases: ReleaseReads;
  readonly requests: RequestReads;
  readonly reviews: ReviewReads;
  readonly shifts: ShiftReads;
  readonly tokens: TokenReads;
  readonly uploads: UploadReads;
  readonly vehicles: VehicleReads;
}

/** The store as its one owning process sees it. Each write is one transaction with its audit entry inside. */
export interface Store {
  readonly read: Reads;
  readonly analysisRuns: AnalysisRunWrites;
  readonly applications: ApplicationWrites;
  readonly blobs: BlobStore;
  readonly calibrations: CalibrationWrites;
  readonly captures: CaptureWrites;
  readonly credentials: CredentialWrites;
  readonly controlUnits: ControlUnitWrites;
  readonly dialects: DialectWrites;
  readonly drafts: DraftWrites;
  readonly fleet: FleetWrites;
  readonly idempotency: IdempotencyKeys;
  readonly jobs: JobWrites;
  readonly logs: LogWrites;
  readonly notices: NoticeWrites;
  readonly people: PeopleWrites;
  readonly platforms: PlatformWrites;
  readonly proposals: ProposalWrites;
  readonly releases: ReleaseWrites;
  readonly requests: RequestWrites;
  readonly reviews: ReviewWrites;
  readonly signals: SignalStore;
  readonly tokens: TokenWrites;
  readonly uploads: UploadStore;
  readonly vehicles: VehicleWrites;
  /** Makes several writes one: all are kept or none. The function must not wait for anything. */
  transaction<T>(work: () => T): T;
  /** The same for what is done again by itself after a loss of power: it does not wait for the disk. */
  repeatable<T>(work: () => T): T;
  /** What to say at start and to show to the maintainer. */
  status(): StoreStatus;
  /** Empties the write-ahead log into the database. To be done daily; readers held open can make it do less. */
  checkpoint(): void;
  /** Throws unless the data folder and its database can be written now. Writes nothing. */
  checkWritable(): void;
  /** Copies everything as it is now into a new folder below `backupFolder`; see `makeBackup`. */
  backUp(backupFolder: string): Promise<MadeBackup>;
  /** Reads everything again; see `verifyData`. */
  verifyData(): Promise<DataVerdict>;
  /** Empties the write-ahead log, closes the database and lets go of the folder. */
  close(): void;
}

export interface StoreStatus {
  readonly folder: string;
  readonly schemaVersion: number;
  readonly databaseBytes: number;
  readonly walBytes: number;
  readonly freeBytes: number;
  /** Why the folder may be unsafe for a database, in words; null when nothing was noticed. */
  readonly warning: string | null;
}

/** What a worker thread or a second process may have: its own connection that cannot write. */
export interface ReadStore {
  readonly read: Reads;
  readonly blobs: BlobReader;
  readonly signals: SignalReader;
  /** As `FleetWrites.verifySummaries`, of one instant: it may be asked while the owner writes. */
  verifySummaries(): readonly SummaryDifference[];
  /** As those of the store, beside the process that owns it. */
  verifyData(): Promise<DataVerdict>;
  backUp(backupFolder: string): Promise<MadeBackup>;
  close(): void;
}
