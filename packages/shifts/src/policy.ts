/** What a shift is called. Several may hold at once; `clean` stands alone. */
export const GRADES = ['clean', 'flare', 'tie-up', 'harsh', 'slow', 'incomplete'] as const;
export type Grade = (typeof GRADES)[number];

/** A quantity by load: break points in %, values between them linear, clamped outside. */
export interface ByLoad {
  readonly load: readonly number[];
  readonly value: readonly number[];
}

/** Thresholds of grading (methods.md 4), versioned per platform. Programs not named use `default`. */
export interface GradingPolicy {
  readonly version: number;
  readonly programs: { readonly default: ProgramPolicy } & Readonly<Record<string, ProgramPolicy>>;
  readonly incompleteAfterS: number;
  /** A valve held on longer than this after synchronisation is reported (s). */
  readonly valveOnLimitS: number;
  readonly lockUpLimitS: number;
}

export interface ProgramPolicy {
  readonly flareRpm: number;
  readonly flareMs: number;
  readonly tieUpDepth: number;
  /** Peak jerk by load (m/s³). */
  readonly harshJerk: ByLoad;
  /** Target inertia time by load (s). */
  readonly targetInertiaTimeS: ByLoad;
  readonly slowFactor: number;
}
