import type { BackupSummary, ServerStatus } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { Fragment } from 'react';
import { serverQueries } from '../../api/server.js';
import { csvFileName } from '../../format/csv.js';
import { formatBytes } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { Caution } from '../../parts/caution.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './people.module.css';
import { backupRule, backupState, settingWords } from './server-words.js';

const COLUMNS: readonly DataColumn<BackupSummary>[] = [
  { id: 'at', title: 'Taken', isShort: true, render: ({ takenAt }) => <Instant at={takenAt} /> },
  { id: 'name', title: 'Folder', isShort: true, render: ({ name }) => name },
  { id: 'size', title: 'Size', isNumber: true, render: ({ totalBytes }) => formatBytes(totalBytes) },
  { id: 'files', title: 'Files', isNumber: true, render: ({ fileCount }) => fileCount },
  { id: 'logs', title: 'Drives', isNumber: true, render: ({ counts }) => counts.logs },
  { id: 'people', title: 'People', isNumber: true, render: ({ counts }) => counts.people },
  {
    id: 'missing',
    title: 'Files missing',
    render: ({ missing }) => (missing.length === 0 ? 'none' : `${missing.length}: ${missing.slice(0, 3).join(', ')}`),
  },
];

const CSV_COLUMNS = [
  { header: 'taken', cell: ({ takenAt }: BackupSummary) => takenAt },
  { header: 'folder', cell: ({ name }: BackupSummary) => name },
  { header: 'size [bytes]', cell: ({ totalBytes }: BackupSummary) => totalBytes },
  { header: 'files', cell: ({ fileCount }: BackupSummary) => fileCount },
  { header: 'drives', cell: ({ counts }: BackupSummary) => counts.logs },
  { header: 'missing files', cell: ({ missing }: BackupSummary) => missing.length },
  { header: 'audit head', cell: ({ auditHead }: BackupSummary) => auditHead ?? '' },
];

/** How the server is, and what there is to come back to when its disk is lost. */
export function ServerSection() {
  const status = useQuery(serverQueries.status());
  return (
    <Section
      title="Server and backups"
      note="What the server needs to go on, and what there is to come back to when it is lost. A backup is proved by restoring it into another folder, with npm run restore: do so once in a while."
      actions={
        <CsvButton fileName={csvFileName('backups')} columns={CSV_COLUMNS} rows={status.data?.backups.items ?? []} />
      }
    >
      <QueryView query={status}>{(found) => <Status status={found} nowMs={status.dataUpdatedAt} />}</QueryView>
    </Section>
  );
}

function Status({ status, nowMs }: { readonly status: ServerStatus; readonly nowMs: number }) {
  const { backups } = status;
  const state = backupState(backups, nowMs);
  return (
    <>
      {status.faults.length > 0 && (
        <Caution title="The server cannot do all of its work">{status.faults.join('; ')}</Caution>
      )}
      {status.folderWarning !== null && <Caution title="The data folder is not safe">{status.folderWarning}</Caution>}
      {state.isAlarming && <Caution title={state.words}>{state.remedy}</Caution>}
      <dl className={classes.facts}>
        <dt>Version</dt>
        <dd>
          {status.version}, schema {status.schemaVersion}, since <Instant at={status.startedAt} />
        </dd>
        <dt>Disk</dt>
        <dd>
          {formatBytes(status.freeBytes)} free; below {formatBytes(status.reserveBytes)} uploads are refused. Database{' '}
          {formatBytes(status.databaseBytes)}
        </dd>
        <dt>Work</dt>
        <dd>
          {status.jobs.queued} queued, {status.jobs.running} running, {status.jobs.failed} failed
        </dd>
        <dt>Backups</dt>
        <dd>
          {state.isAlarming ? '▲ ' : '● '}
          {state.words}. {backupRule(backups)} Folder: <code className={classes.path}>{backups.folder}</code>
        </dd>
        {status.restored !== null && (
          <>
            <dt>Data</dt>
            <dd>
              {sentence(status.restored.words)}, on <Instant at={status.restored.at} />
            </dd>
          </>
        )}
      </dl>
      <details className={classes.settings}>
        <summary>Settings it was started with</summary>
        <dl className={classes.facts}>
          {settingWords(status.settings).map(({ title, words, name }) => (
            <Fragment key={name}>
              <dt>{title}</dt>
              <dd>
                {words} <code className={classes.path}>{name}</code>
              </dd>
            </Fragment>
          ))}
        </dl>
      </details>
      {backups.items.length > 0 && (
        <DataTable label="Backups" columns={COLUMNS} rows={backups.items} rowId={({ name }) => name} />
      )}
    </>
  );
}
