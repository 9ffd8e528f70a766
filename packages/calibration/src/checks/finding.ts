import type { Severity, ValueCheck } from '../layout/layout.js';

/** What a check may find. */
export type FindingCode =
  // of a layout
  | 'duplicateId'
  | 'otherPlatform'
  | 'axisCount'
  | 'axisRepeats'
  | 'axisEmpty'
  | 'axisOrder'
  | 'resolution'
  | 'limitsOrder'
  | 'limitsNotStorable'
  | 'defaultOutsideLimits'
  | 'checkAxis'
  | 'slopeBound'
  | 'ruleEmpty'
  | 'ruleUnknownTable'
  | 'ruleRepeatsTable'
  | 'ruleUnit'
  | 'programTwice'
  | 'severityUnknown'
  | 'stepBound'
  | 'coilUnit'
  | 'coilSupply'
  | 'scheduleTable'
  | 'scheduleAxis'
  | 'scheduleBound'
  | 'imageBlock'
  | 'imageTable'
  | 'imageAxis'
  | 'imageOutside'
  | 'imageOverlap'
  | 'imageChecksum'
  // of content
  | 'otherLayout'
  | 'tableMissing'
  | 'tableUnknown'
  | 'variantMissing'
  | 'variantUnknown'
  | 'breakpointCount'
  | 'breakpointMoved'
  | 'breakpointNotStorable'
  | 'breakpointLoss'
  | 'valueCount'
  | 'notANumber'
  | 'notStorable'
  | ValueCheck
  // of a move to another layout
  | 'renameUnknown'
  | 'unitChanged'
  | 'variantDefaulted'
  | 'axisDropped';

/** One thing that a check found, with enough to point at the cell and to mend it. */
export interface Finding {
  readonly code: FindingCode;
  /** A blocking finding keeps a draft from becoming a revision; a warning is shown and may stand. */
  readonly severity: Severity;
  /** Null where the finding is about a rule or the whole document. */
  readonly tableId: string | null;
  readonly variant: string | null;
  /** Row on the first (slow) axis, column on the second; a table of one axis lies in row 0. Null when no cell is meant. */
  readonly cell: { readonly row: number; readonly column: number } | null;
  readonly found: number | string | null;
  /** The value, limit or name that was expected. */
  readonly bound: number | string | null;
  /** Names table, cell, found, expected and how to mend it. */
  readonly message: string;
}

/** A finding from the parts that differ; it blocks and points nowhere unless told otherwise. */
export function finding(parts: Pick<Finding, 'code' | 'message'> & Partial<Finding>): Finding {
  return { severity: 'blocking', tableId: null, variant: null, cell: null, found: null, bound: null, ...parts };
}

/** A number for `found` or `bound`: itself when finite, else its name, since JSON has no NaN or infinity. */
export function plain(value: number): number | string {
  return Number.isFinite(value) ? value : String(value);
}

/** A reckoned number in a message: to nine digits, so that 432.00000000000006 reads 432. */
export function shown(value: number): string {
  return String(Number(value.toPrecision(9)));
}
