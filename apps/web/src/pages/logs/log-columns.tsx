import type { LogSummary } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { formatBytes } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import type { DataColumn } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { LogProgress } from '../../parts/log-progress.js';
import { TextLink } from '../../parts/text-link.js';
import { LogOutcome } from './log-outcome.js';

export const LOG_COLUMNS: readonly DataColumn<LogSummary>[] = [
  {
    id: 'file',
    title: 'Drive',
    isShort: true,
    render: (log) => (
      <TextLink to="/logs/$logId" params={{ logId: log.id }}>
        {log.fileName}
      </TextLink>
    ),
  },
  {
    id: 'vehicle',
    title: 'Car',
    isShort: true,
    distinct: (log) => log.vehicleId,
    render: (log) => (
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: log.vehicleId }}>
        {log.vehicleTitle}
      </TextLink>
    ),
  },
  { id: 'driven', title: 'Driven', render: (log) => <Instant at={log.drivenAt} /> },
  {
    id: 'revision',
    title: 'Revision',
    isShort: true,
    render: (log) => log.revisionLabel ?? 'not known',
    distinct: (log) => log.revisionLabel,
  },
  { id: 'duration', title: 'Length', isNumber: true, render: (log) => formatDuration(log.durationS) },
  { id: 'size', title: 'Size', isNumber: true, render: (log) => formatBytes(log.sizeBytes) },
  { id: 'state', title: 'State', render: (log) => <LogProgress log={log} /> },
  { id: 'outcome', title: 'Outcome', render: (log) => <LogOutcome log={log} /> },
];

export const LOG_CSV_COLUMNS: readonly CsvColumn<LogSummary>[] = [
  { header: 'log', cell: (log) => log.id },
  { header: 'file', cell: (log) => log.fileName },
  { header: 'vehicle', cell: (log) => log.vehicleTitle },
  { header: 'driven at', cell: (log) => log.drivenAt },
  { header: 'uploaded at', cell: (log) => log.uploadedAt },
  { header: 'revision', cell: (log) => log.revisionLabel },
  { header: 'duration (s)', cell: (log) => log.durationS },
  { header: 'size (bytes)', cell: (log) => log.sizeBytes },
  { header: 'state', cell: (log) => log.state },
  { header: 'shifts', cell: (log) => log.shiftCount },
  { header: 'flares', cell: (log) => log.grades['flare'] ?? 0 },
  { header: 'tie-ups', cell: (log) => log.grades['tie-up'] ?? 0 },
  { header: 'harsh', cell: (log) => log.grades['harsh'] ?? 0 },
  { header: 'slow', cell: (log) => log.grades['slow'] ?? 0 },
  { header: 'sha256', cell: (log) => log.sha256 },
];
