import { Button, Checkbox, Text } from '@mantine/core';
import type { PlatformCapture } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { platformQueries, useLearnDialect } from '../../api/platforms.js';
import { counted, formatCount } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';

interface LearnFormProps {
  readonly platformId: string;
  readonly dialect: { readonly id: string; readonly title: string };
}

/** Learns a dialect from captures of cars that are confirmed to speak it; others are not offered. */
export function LearnForm({ platformId, dialect }: LearnFormProps) {
  const captures = useQuery(platformQueries.captures(platformId));
  const learn = useLearnDialect(platformId, dialect.id);
  const [chosen, setChosen] = useState<readonly string[]>([]);
  return (
    <details style={{ marginTop: 12 }}>
      <summary>Learn from captures</summary>
      <Text size="sm" c="dimmed" maw="90ch" my="xs">
        Captures of cars that are confirmed to speak the {dialect.title}. The more cars, the better the spread from car
        to car is known. A new profile takes the place of this one.
      </Text>
      <QueryView query={captures}>
        {({ items }) => {
          const offered = items.filter(
            ({ verdict, observedDialect }) => verdict === 'confirmed' && observedDialect === dialect.id,
          );
          if (offered.length === 0) return <Text size="sm">There is no such capture yet.</Text>;
          return (
            <DataTable
              label="Captures to learn from"
              columns={columns(chosen, setChosen)}
              rows={offered}
              rowId={({ logId }) => logId}
            />
          );
        }}
      </QueryView>
      <Button
        mt="sm"
        disabled={chosen.length === 0}
        loading={learn.isPending}
        onClick={() => learn.mutate(chosen, { onSuccess: () => setChosen([]) })}
      >
        Learn from {counted(chosen.length, 'capture')}
      </Button>
      <Text size="sm" role="status" c="dimmed">
        {learn.isSuccess && chosen.length === 0 && 'Learned. The newest capture of every car is checked again.'}
      </Text>
      {learn.error !== null && <ProblemNotice error={learn.error} />}
    </details>
  );
}

function columns(
  chosen: readonly string[],
  setChosen: (ids: readonly string[]) => void,
): readonly DataColumn<PlatformCapture>[] {
  return [
    {
      id: 'choose',
      title: 'Take',
      render: ({ logId, fileName }) => (
        <Checkbox
          aria-label={`Take ${fileName}`}
          checked={chosen.includes(logId)}
          onChange={(event) =>
            setChosen(event.currentTarget.checked ? [...chosen, logId] : chosen.filter((id) => id !== logId))
          }
        />
      ),
    },
    {
      id: 'file',
      title: 'Capture',
      render: ({ logId, fileName }) => (
        <TextLink to="/logs/$logId" params={{ logId }}>
          {fileName}
        </TextLink>
      ),
    },
    {
      id: 'car',
      title: 'Car',
      render: ({ vehicleId, vehicleTitle }) => (
        <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
          {vehicleTitle}
        </TextLink>
      ),
    },
    { id: 'uploaded', title: 'Uploaded', render: ({ uploadedAt }) => <Instant at={uploadedAt} /> },
    { id: 'length', title: 'Length', isNumber: true, render: ({ durationS }) => formatDuration(durationS) },
    {
      id: 'identifiers',
      title: 'Identifiers',
      isNumber: true,
      render: ({ identifierCount }) => formatCount(identifierCount),
    },
  ];
}
