import type { DriveRequest } from '@syncline/contract';
import type { UseQueryResult } from '@tanstack/react-query';
import { useMemo } from 'react';
import { useWithdrawRequest } from '../../api/requests.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { RequestStateMark } from '../../parts/state-mark.js';
import { TextLink } from '../../parts/text-link.js';
import { ReasonButton } from './reason-button.js';
import { askWords, pointFigures, progressWords } from './request-words.js';
import classes from './requests.module.css';

interface RequestListProps {
  readonly query: UseQueryResult<{ items: DriveRequest[]; totalCount: number }>;
  readonly platform: string | undefined;
  readonly mayWithdraw: boolean;
}

/** What is asked of the fleet, and how far each request is. */
export function RequestList({ query, platform, mayWithdraw }: RequestListProps) {
  const rows = useMemo(
    () => (query.data?.items ?? []).filter(({ platformId }) => platform === undefined || platformId === platform),
    [query.data, platform],
  );
  const columns = useMemo(() => requestColumns(mayWithdraw), [mayWithdraw]);
  return (
    <Section
      title={query.data === undefined ? 'Requests' : counted(rows.length, 'request')}
      note="Counted from drives that came in since, of any car. A request ends by itself when they are enough; a car counts once it has brought its share."
      actions={<CsvButton fileName={csvFileName('requests', platform)} columns={CSV_COLUMNS} rows={rows} />}
    >
      <QueryView
        query={query}
        isEmpty={() => rows.length === 0}
        empty="No request is like that. Choose a point below and ask."
      >
        {() => <DataTable label="Drive requests" columns={columns} rows={rows} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}

function requestColumns(mayWithdraw: boolean): DataColumn<DriveRequest>[] {
  return [
    {
      id: 'what',
      title: 'Asked of each car',
      render: (request) => (
        <>
          {askWords(request)}
          <span className={classes.small}>
            {pointFigures(request)}
            {request.revisionLabel !== null && `, under ${request.revisionLabel}`}
          </span>
        </>
      ),
    },
    { id: 'cars', title: 'Cars', render: (request) => <Cars request={request} /> },
    { id: 'progress', title: 'Came in', render: progressWords },
    {
      id: 'state',
      title: 'State',
      render: (request) => (
        <>
          <RequestStateMark state={request.state} />
          {request.closingNote !== '' && <span className={classes.small}>{request.closingNote}</span>}
        </>
      ),
    },
    {
      id: 'until',
      title: 'Open until, ended',
      render: (request) => <Instant at={request.closedAt ?? request.expiresAt} precision="day" />,
    },
    {
      id: 'by',
      title: 'Asked by',
      render: ({ createdByName }) => createdByName,
      distinct: (request) => request.createdByName,
    },
    ...(mayWithdraw
      ? [
          {
            id: 'withdraw',
            title: 'Withdraw',
            render: (request: DriveRequest) => (request.state === 'open' ? <Withdraw requestId={request.id} /> : '–'),
          },
        ]
      : []),
  ];
}

const CAR_STATES = { asked: 'asked', declined: 'declined', met: 'done' } as const;

function Cars({ request }: { readonly request: DriveRequest }) {
  return (
    <ul className={classes.plain}>
      {request.cars.map(({ vehicleId, title, state, shifts, reason }) => (
        <li key={vehicleId}>
          <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }} underline="always">
            {title}
          </TextLink>
          : {CAR_STATES[state]}, {counted(shifts, 'shift')}
          {reason !== '' && ` (“${reason}”)`}
        </li>
      ))}
    </ul>
  );
}

function Withdraw({ requestId }: { readonly requestId: string }) {
  const withdraw = useWithdrawRequest(requestId);
  return (
    <ReasonButton
      label="Why it is withdrawn (optional)"
      isPending={withdraw.isPending}
      error={withdraw.error}
      onConfirm={(reason, done) => withdraw.mutate({ reason }, { onSuccess: done })}
    >
      Withdraw
    </ReasonButton>
  );
}

const CSV_COLUMNS = [
  { header: 'request', cell: ({ id }: DriveRequest) => id },
  { header: 'state', cell: ({ state }: DriveRequest) => state },
  { header: 'words', cell: ({ words }: DriveRequest) => words },
  { header: 'shift', cell: ({ kind }: DriveRequest) => kind },
  { header: 'load band', cell: ({ load }: DriveRequest) => load.label },
  { header: 'fluid temperature band', cell: ({ fluidTemperature }: DriveRequest) => fluidTemperature.label },
  { header: 'program', cell: ({ program }: DriveRequest) => program },
  { header: 'revision', cell: ({ revisionLabel }: DriveRequest) => revisionLabel },
  { header: 'shifts wanted', cell: ({ wantedShifts }: DriveRequest) => wantedShifts },
  { header: 'shifts', cell: ({ progress }: DriveRequest) => progress.shifts },
  { header: 'cars wanted', cell: ({ wantedVehicles }: DriveRequest) => wantedVehicles },
  { header: 'cars', cell: ({ progress }: DriveRequest) => progress.vehicles },
  { header: 'cars asked', cell: ({ cars }: DriveRequest) => cars.map(({ title }) => title).join('; ') },
  { header: 'asked at', cell: ({ createdAt }: DriveRequest) => createdAt },
  { header: 'open until', cell: ({ expiresAt }: DriveRequest) => expiresAt },
  { header: 'ended at', cell: ({ closedAt }: DriveRequest) => closedAt },
];
