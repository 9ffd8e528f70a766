import type { PartLook } from '@syncline/contract';

export const LOOKS_HEIGHT_PX = 260;

/** One part of one look, as plot and table show it. */
export interface LookRow extends PartLook {
  readonly at: string;
  readonly number: number;
  readonly totalShifts: number;
}
