/** Height of a profile plot, kept free while it loads (px). */
export const PROFILE_HEIGHT_PX = 190;

/** One line over the nodes of an axis. */
export interface ProfileLine {
  readonly id: string;
  readonly values: readonly number[];
  /** `context` is drawn thin behind the others; `dashed` tells the second of two apart without colour. */
  readonly look: 'strong' | 'dashed' | 'context';
}
