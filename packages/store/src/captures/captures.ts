import type { BusTraffic, DialectDoubt, DialectScore } from '@syncline/drivelog';
import type { Scope } from '../actor.js';
import type { NewJob } from '../jobs/jobs.js';
import type { DialectVerdict } from '../vehicles/vehicles.js';

/** How well a capture fits one version of a known dialect. */
export interface CaptureScore extends DialectScore {
  readonly profileVersion: number;
  /** All of them; `disagreements` may hold the first ones only. */
  readonly disagreementCount: number;
}

/** What a capture says of the dialect of its car. */
export interface CaptureCheck {
  /** The bus that the check is about; null when the capture had no readable frame. */
  readonly busInterface: string | null;
  /** Of that bus. */
  readonly frames: number;
  readonly durationS: number;
  readonly identifierCount: number;
  /** The dialect that the car speaks; null when that cannot be told. */
  readonly observed: string | null;
  /** Why not; null when one was observed. */
  readonly doubt: DialectDoubt | null;
  /** Why, in words that can be shown. */
  readonly reason: string;
  /** Lead of the best over the second in log-likelihood; null with less than two known dialects. */
  readonly margin: number | null;
  /** Best first. */
  readonly scores: readonly CaptureScore[];
}

/** A capture with its newest check. */
export interface CheckedCapture extends CaptureCheck {
  readonly logId: string;
  readonly fileName: string;
  readonly uploadedAtMs: number;
  readonly checkedAtMs: number;
  /** What was declared when it was first checked. */
  readonly declaredDialect: string | null;
  /** What it said of that declaration. */
  readonly verdict: DialectVerdict;
}

/** A capture that a dialect may be learned from. */
export interface LearnableCapture {
  readonly logId: string;
  readonly fileName: string;
  readonly vehicleId: string;
  readonly platformId: string;
  readonly busInterface: string | null;
  readonly traffics: readonly BusTraffic[];
}

export interface CaptureReads {
  find(logId: string): CheckedCapture | undefined;
  /** Newest upload first, at most `limit`. Ask `vehicles.find` first: no scope is applied here. */
  ofVehicle(vehicleId: string, limit: number): readonly CheckedCapture[];
  findLearnable(logId: string): LearnableCapture | undefined;
  /** Captures of a platform, newest upload first, at most `limit`. */
  listOfPlatform(scope: Scope, platformId: string, limit: number): readonly PlatformCapture[];
  /** The newest capture of every car of a platform. */
  listNewest(platformId: string): readonly string[];
}

/** One line of a list of captures. */
export interface PlatformCapture {
  readonly logId: string;
  readonly fileName: string;
  readonly uploadedAtMs: number;
  readonly vehicleId: string;
  readonly vehicleTitle: string;
  readonly declaredDialect: string | null;
  readonly observedDialect: string | null;
  readonly verdict: DialectVerdict;
  readonly frames: number;
  readonly durationS: number;
  readonly identifierCount: number;
}

export interface CaptureWrites {
  /**
   * Keeps how the bus of a log was spoken and what its check says. A check that tells something of the car (a dialect, or
   * that none fits, not even the declared one) becomes an observation of the car, dated by the upload: checked again, the
   * same capture corrects its own observation and makes no other. Safe to repeat. Throws `not_found`.
   */
  keep(input: { readonly logId: string; readonly traffics: readonly BusTraffic[]; readonly check: CaptureCheck }): void;
  /** Puts a new check in the place of that of before; the traffic stays. */
  recheck(input: { readonly logId: string; readonly check: CaptureCheck }): void;
  /** Queues the captures of a car that wait for something again. */
  requeueWaiting(input: { readonly vehicleId: string; readonly jobFor: (logId: string) => NewJob }): void;
}
