import type { CsvColumn } from '../../format/csv.js';
import { rateColumns } from '../../format/rate-columns.js';
import { reviewWord } from '../review/review-mark.js';
import type { HistoryRevision } from './history-revision.js';

/** One row for each revision of the history, with every rate that is known of it. */
export const HISTORY_CSV_COLUMNS: readonly CsvColumn<HistoryRevision>[] = [
  { header: 'revision', cell: ({ id }) => id },
  { header: 'number', cell: ({ number }) => number },
  { header: 'parent number', cell: ({ parentNumber }) => parentNumber },
  { header: 'line', cell: ({ line }) => line },
  { header: 'merged revision', cell: ({ mergeParentId }) => mergeParentId },
  { header: 'brings back revision', cell: ({ revertsId }) => revertsId },
  { header: 'review', cell: ({ reviewState }) => reviewWord(reviewState) },
  { header: 'layout version', cell: ({ layoutVersion }) => layoutVersion },
  { header: 'message', cell: ({ message }) => message },
  { header: 'author', cell: ({ authorName }) => authorName },
  { header: 'made at', cell: ({ createdAt }) => createdAt },
  { header: 'sha256', cell: ({ contentHash }) => contentHash },
  { header: 'vehicles', cell: ({ vehicleCount }) => vehicleCount },
  { header: 'drives', cell: ({ logCount }) => logCount },
  { header: 'shifts', cell: ({ shiftCount }) => shiftCount },
  ...rateColumns<HistoryRevision>('flare', ({ outcome }) => outcome.flare),
  ...rateColumns<HistoryRevision>('tie-up', ({ outcome }) => outcome.tieUp),
  ...rateColumns<HistoryRevision>('harsh', ({ outcome }) => outcome.harsh),
  ...rateColumns<HistoryRevision>('slow', ({ outcome }) => outcome.slow),
  ...rateColumns<HistoryRevision>('clean', ({ outcome }) => outcome.clean),
];
