import type { BandIndices } from '@syncline/fleet';
import type { Grade, Shift } from '@syncline/shifts';
import type { Scope } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { Page, PageRequest } from '../page.js';

/** Grades that occur, with how many shifts have them. */
export type GradeCounts = Readonly<Partial<Record<Grade, number>>>;

/** A shift as it goes into the store. */
export interface NewShift {
  readonly shift: Shift;
  readonly grades: readonly Grade[];
  /** Id of the program; null when not logged or unknown to the platform. */
  readonly program: string | null;
  /** Where it counts in the summaries. */
  readonly bands: BandIndices;
  /** y of methods.md 5 and its weight; null when it cannot be told. */
  readonly demandRatio: number | null;
  readonly demandWeight: number | null;
}

/** A shift as it is kept. Its id is made of the log's id and its place in it. */
export interface StoredShift extends NewShift {
  readonly id: string;
  readonly logId: string;
  readonly vehicleId: string;
  readonly vehicleTitle: string;
  readonly revision: RevisionRef | null;
  readonly drivenAtMs: number;
  readonly analysisVersion: number;
  readonly policyVersion: number;
}

export type ShiftSort = 'newest' | 'flareRpm' | 'tieUpDepth' | 'peakJerk' | 'inertiaTimeS';

/** Ranges include their lower end and exclude their upper; a shift without the quantity is outside of any range. */
export interface ShiftFilter {
  readonly platformId?: string;
  readonly revisionId?: string;
  readonly vehicleId?: string;
  readonly logId?: string;
  readonly kind?: string;
  readonly grade?: Grade;
  readonly program?: string;
  /** Of cars that speak it: observed where it is known, else declared. */
  readonly dialect?: string;
  /** Of cars with this engine, as their owners wrote it. */
  readonly engine?: string;
  readonly loadMin?: number;
  readonly loadMax?: number;
  readonly inputSpeedMin?: number;
  readonly inputSpeedMax?: number;
  readonly fluidTemperatureMin?: number;
  readonly fluidTemperatureMax?: number;
}

/** One value of a dimension, with how many shifts it would leave. */
export interface FacetValue {
  readonly value: string;
  readonly label: string;
  readonly shifts: number;
}

/** What a filter can be narrowed to: each dimension counted with all filters but its own. Values without shifts lack. */
export interface ShiftFacets {
  readonly totalCount: number;
  readonly kinds: readonly FacetValue[];
  readonly grades: readonly FacetValue[];
  readonly programs: readonly FacetValue[];
  readonly revisions: readonly FacetValue[];
  readonly vehicles: readonly FacetValue[];
  /** 1 when every shift was counted; n when those of every n-th drive were, in the order they came, times n. */
  readonly everyNthDrive: number;
}

export type ShiftQuantity =
  | 'flareRpm'
  | 'flareMs'
  | 'shiftTimeS'
  | 'inertiaTimeS'
  | 'delayS'
  | 'peakJerk'
  | 'peakToPeakAcceleration'
  | 'tieUpDepth'
  | 'slipEnergyJ'
  | 'demandRatio'
  | 'load'
  | 'inputSpeedRpm'
  | 'fluidTemperatureC';

/** Counts by bins of one width: bin i holds edges[i] ≤ value < edges[i + 1]. */
export interface ShiftDistribution {
  readonly edges: readonly number[];
  readonly counts: readonly number[];
  readonly measuredCount: number;
  readonly unmeasuredCount: number;
  readonly p05: number | null;
  readonly p50: number | null;
  readonly p95: number | null;
  /** As in `ShiftFacets`. */
  readonly everyNthDrive: number;
}

/** Where a shift happened and how it went: what the evidence of a table cell is made of. */
export interface EvidenceRow {
  readonly vehicleId: string;
  readonly kind: string;
  readonly from: number;
  readonly to: number;
  readonly program: string | null;
  readonly load: number | null;
  readonly engineSpeedRpm: number | null;
  readonly inputSpeedRpm: number;
  readonly outputSpeedRpm: number;
  readonly fluidTemperatureC: number | null;
  readonly pedal: number | null;
  readonly applyPressureKpa: number | null;
  readonly isFlare: boolean;
  readonly isTieUp: boolean;
  /** Whether the log could tell. */
  readonly isFlareMeasured: boolean;
  readonly isTieUpMeasured: boolean;
}

export interface ShiftReads {
  /** Sorted by the drive's time or by a measure, both falling; shifts without the measure come last. */
  list(scope: Scope, query: ShiftFilter & { readonly sort: ShiftSort }, page: PageRequest): Page<StoredShift>;
  facets(scope: Scope, filter: ShiftFilter): ShiftFacets;
  /** How one quantity is spread over the shifts that match. Goes through them: not for a thread that others wait for. */
  distribution(scope: Scope, query: ShiftFilter & { readonly quantity: ShiftQuantity }): ShiftDistribution;
  find(scope: Scope, shiftId: string): StoredShift | undefined;
  /** In the order of the drive. Ask `logs.find` first: no scope is applied here. */
  ofLog(logId: string): readonly StoredShift[];
  /** Every shift under a revision, or those of some kinds or of one program. */
  evidence(filter: {
    readonly revisionId: string;
    readonly kinds?: readonly string[];
    readonly program?: string;
  }): readonly EvidenceRow[];
}
