import type { AnalysisRunReads, AnalysisRunWrites } from './analysis-runs/analysis-runs.js';
import type { ApplicationReads, ApplicationWrites } from './applications/applications.js';
import type { AuditReads } from './audit/audit.js';
import type { BlobReader, BlobStore } from './blobs/blobs.js';
import type { CalibrationReads, CalibrationWrites } from './calibrations/calibrations.js';
import type { CaptureReads, CaptureWrites } from './captures/captures.js';
import type { DialectReads, DialectWrites } from './dialects/dialects.js';
import type { DraftReads, DraftWrites } from './drafts/drafts.js';
import type { FleetReads, FleetWrites } from './fleet/fleet.js';
import type { JobReads, JobWrites } from './jobs/jobs.js';
import type { LogReads, LogWrites } from './logs/logs.js';
import type { PeopleReads, PeopleWrites } from './people/people.js';
import type { PlatformReads, PlatformWrites } from './platforms/platforms.js';
import type { IdempotencyKeys } from './replies/idempotency-keys.js';
import type { RequestReads, RequestWrites } from './requests/requests.js';
import type { ReviewReads, ReviewWrites } from './reviews/reviews.js';
import type { ShiftReads } from './shifts/shifts.js';
import type { SignalReader, SignalStore } from './signals/signals.js';
import type { TokenReads, TokenWrites } from './tokens/tokens.js';
import type { UploadReads, UploadStore } from './uploads/uploads.js';
import type { VehicleReads, VehicleWrites } from './vehicles/vehicles.js';

/** Reads, each shaped for one page or one worker. */
export interface Reads {
  readonly analysisRuns: AnalysisRunReads;
  readonly applications: ApplicationReads;
  readonly audit: AuditReads;
  readonly calibrations: CalibrationReads;
  readonly captures: CaptureReads;
  readonly dialects: DialectReads;
  readonly drafts: DraftReads;
  readonly fleet: FleetReads;
  readonly jobs: JobReads;
  readonly logs: LogReads;
  readonly people: PeopleReads;
  readonly platforms: PlatformReads;
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
  readonly dialects: DialectWrites;
  readonly drafts: DraftWrites;
  readonly fleet: FleetWrites;
  readonly idempotency: IdempotencyKeys;
  readonly jobs: JobWrites;
  readonly logs: LogWrites;
  readonly people: PeopleWrites;
  readonly platforms: PlatformWrites;
  readonly requests: RequestWrites;
  readonly reviews: ReviewWrites;
  readonly signals: SignalStore;
  readonly tokens: TokenWrites;
  readonly uploads: UploadStore;
  readonly vehicles: VehicleWrites;
  /** Makes several writes one: all are kept or none. The function must not wait for anything. */
  transaction<T>(work: () => T): T;
  /** What to say at start and to show to the maintainer. */
  status(): StoreStatus;
  /** Empties the write-ahead log into the database. To be done daily; readers held open can make it do less. */
  checkpoint(): void;
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
  close(): void;
}
