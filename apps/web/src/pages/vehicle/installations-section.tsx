import { Button, Select, Text } from '@mantine/core';
import { installRequest, type VehicleResponse } from '@syncline/contract';
import { useState } from 'react';
import { useInstallRevision } from '../../api/vehicles.js';
import { fromLocalInput, toLocalInput } from '../../format/local-time.js';
import { MapsCaution } from '../../parts/caution.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { DateTimeField } from '../../parts/date-time-field.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { useInstallableRevisions } from './use-installable-revisions.js';
import classes from './vehicle.module.css';

type Installation = VehicleResponse['installations'][number];

const COLUMNS: readonly DataColumn<Installation>[] = [
  {
    id: 'revision',
    title: 'Revision',
    render: ({ revisionId, revisionLabel }) => <RevisionLink revisionId={revisionId} label={revisionLabel} />,
  },
  { id: 'since', title: 'Since', render: ({ sinceAt }) => <Instant at={sinceAt} /> },
  { id: 'until', title: 'Until', render: ({ untilAt }) => (untilAt === null ? 'now' : <Instant at={untilAt} />) },
  {
    id: 'hash',
    title: 'Content hash',
    render: ({ contentHash }) => <code title={contentHash}>{contentHash.slice(0, 12)}…</code>,
  },
];

interface InstallationsSectionProps {
  readonly vehicle: VehicleResponse;
  readonly mayWrite: boolean;
}

/** Which revision the car ran when: every drive is counted to the one that was installed at its time. */
export function InstallationsSection({ vehicle, mayWrite }: InstallationsSectionProps) {
  return (
    <Section
      title="Installed revisions"
      note={
        <>
          Each drive counts to the <HelpTerm term="revision">revision</HelpTerm> that was installed at its time.
        </>
      }
    >
      {vehicle.installations.length === 0 ? (
        <Text c="dimmed">No revision is known to be installed.</Text>
      ) : (
        <DataTable label="Installed revisions" columns={COLUMNS} rows={vehicle.installations} rowId={({ id }) => id} />
      )}
      {mayWrite &&
        (vehicle.isDialectCleared ? (
          <InstallForm vehicle={vehicle} />
        ) : (
          <Text size="sm" mt="sm">
            None can be recorded before the bus dialect is confirmed, or a maintainer has decided with a reason.
          </Text>
        ))}
    </Section>
  );
}

function InstallForm({ vehicle }: { readonly vehicle: VehicleResponse }) {
  const choices = useInstallableRevisions(vehicle.platformId);
  const install = useInstallRevision(vehicle.id);
  const [revisionId, setRevisionId] = useState<string | null>(null);
  const [since, setSince] = useState(() => toLocalInput(new Date()));
  const request = installRequest.safeParse({ revisionId, sinceAt: since === '' ? undefined : fromLocalInput(since) });
  return (
    <>
      <MapsCaution />
      <div className={classes.inline}>
        <Select
          label="Record an installed revision"
          placeholder={choices.length === 0 ? 'No revision yet' : 'Choose a revision'}
          disabled={choices.length === 0}
          w={240}
          data={choices}
          value={revisionId}
          onChange={setRevisionId}
        />
        <DateTimeField label="Since" value={since} onChange={setSince} />
        <Button
          variant="default"
          loading={install.isPending}
          disabled={!request.success}
          onClick={() => request.success && install.mutate(request.data)}
        >
          Record
        </Button>
      </div>
      <Text size="sm" role="status" c="dimmed">
        {install.isSuccess && 'Recorded.'}
      </Text>
      {install.error !== null && <ProblemNotice error={install.error} />}
    </>
  );
}
