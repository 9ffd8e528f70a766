import type { CalibrationResponse } from '@syncline/contract';

/** A revision as the history of its calibration knows it. */
export type HistoryRevision = CalibrationResponse['revisions'][number];
