/** Height of a schedule plot, kept free while it loads (px). */
export const SCHEDULE_HEIGHT_PX = 360;

/** Where a shift is commanded: pedal (%) over output speed (rpm), from the lowest pedal up. */
export interface ScheduleLine {
  readonly id: string;
  /** “2-3”. */
  readonly label: string;
  readonly isUp: boolean;
  /** `context` is drawn thin behind the others: what it was before. */
  readonly look: 'strong' | 'context';
  readonly points: readonly { readonly pedal: number; readonly outputSpeedRpm: number }[];
}

/** A place that the checks object to. */
export interface ScheduleMark {
  readonly id: string;
  readonly kind: 'crossing' | 'other';
  readonly pedal: number;
  readonly outputSpeedRpm: number;
}
