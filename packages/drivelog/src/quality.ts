/**
 * What a thread needs that looks at samples alone and reads no file: a way in of its own, so that such a thread starts
 * without the readers of every format.
 */
export { LogQualityCounter } from './quality/log-quality.js';
export type { QualityFinding } from './quality/quality-finding.js';
export type { RatioReference } from './quality/ratio-check.js';
export type { SignalBatch, SignalId } from './signals.js';
export { type TimeStatistics, TimeStatisticsCounter } from './time-statistics.js';
