/**
 * Closed lists of words that stand in addresses of pages as well as in answers. They are apart from the schemas of the
 * answers, so that the router of the pages knows them before it knows any page.
 */
export const OUTCOME_MEASURES = ['flare', 'tie-up', 'harsh', 'slow'] as const;
export const SPREAD_MEASURES = [
  'flareRpm',
  'shiftTimeS',
  'inertiaTimeS',
  'delayS',
  'peakJerk',
  'tieUpDepth',
  'slipEnergyJ',
] as const;
export const DIALECT_VERDICTS = ['confirmed', 'contradicted', 'unknown'] as const;

/**
 * `waiting` for a worker; `awaitingMap` until a person says which column is which signal; `decoding` and `analysing`
 * are running; `ready` has shifts; `refused` was read but cannot be graded; `failed` could not be read.
 */
export const LOG_STATES = ['waiting', 'awaitingMap', 'decoding', 'analysing', 'ready', 'refused', 'failed'] as const;
export const RELEASE_STATES = ['draft', 'running', 'held', 'complete', 'recalled'] as const;
export const REQUEST_STATES = ['open', 'met', 'withdrawn', 'expired'] as const;
export const APPLICATION_STATES = ['new', 'waiting', 'invited', 'declined'] as const;
