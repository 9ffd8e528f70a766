import { Button, Group, Select } from '@mantine/core';
import type { CalibrationResponse, MergeResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { useState } from 'react';
import { calibrationQueries } from '../../api/calibrations.js';
import { draftQueries, useCreateMerge } from '../../api/drafts.js';
import { counted, formatCount } from '../../format/quantity.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { ConflictTable } from './conflict-table.js';
import classes from './merge.module.css';
import { type Choices, groupConflicts, openCount, settledChoices, withSide } from './merge-choices.js';

/** Two lines of a calibration brought together: what comes from where, and each cell that both changed. */
export function MergePage() {
  const { calibrationId } = useParams({ from: '/house/calibrations/$calibrationId/merge' });
  const { ours, theirs } = useSearch({ from: '/house/calibrations/$calibrationId/merge' });
  const calibration = useQuery(calibrationQueries.one(calibrationId));
  const isChosen = ours !== undefined && theirs !== undefined && ours !== theirs;
  const merge = useQuery({ ...draftQueries.merge(calibrationId, ours ?? '', theirs ?? ''), enabled: isChosen });
  return (
    <>
      <PageHead
        title="Merge two lines"
        crumbs={
          <>
            <TextLink to="/calibrations">Calibrations</TextLink> ›{' '}
            <TextLink to="/calibrations/$calibrationId" params={{ calibrationId }}>
              {calibration.data?.title ?? 'Calibration'}
            </TextLink>
          </>
        }
        lead="Every cell that only one side changed since their common ancestor is taken from it. What both changed is yours to choose. The outcome is a draft."
      />
      {calibration.data !== undefined && <SidePicker calibration={calibration.data} ours={ours} theirs={theirs} />}
      {isChosen ? (
        <QueryView query={merge} skeleton={<BlockSkeleton height={300} />}>
          {(found) => <Merge key={`${ours} ${theirs}`} calibrationId={calibrationId} found={found} />}
        </QueryView>
      ) : (
        <EmptyState
          title={ours !== undefined && ours === theirs ? 'This is one revision twice' : 'Choose two revisions'}
        >
          The one that is merged into, and the one that is merged.
        </EmptyState>
      )}
    </>
  );
}

interface SidePickerProps {
  readonly calibration: CalibrationResponse;
  readonly ours: string | undefined;
  readonly theirs: string | undefined;
}

function SidePicker({ calibration, ours, theirs }: SidePickerProps) {
  const navigate = useNavigate();
  const data = [...calibration.revisions]
    .sort((a, b) => b.number - a.number)
    .map(({ id, number, line, message }) => ({ value: id, label: `r${number} (${line}): ${message}` }));
  const pick = (part: { ours?: string; theirs?: string }) =>
    void navigate({
      to: '/calibrations/$calibrationId/merge',
      params: { calibrationId: calibration.id },
      search: { ours, theirs, ...part },
    });
  const common = { data, searchable: true, allowDeselect: false, placeholder: 'Choose a revision' } as const;
  return (
    <FilterBar>
      <div className={classes.pick}>
        <Select
          {...common}
          {...SEARCH_FIELD}
          label="Ours: merged into"
          value={ours ?? null}
          onChange={(id) => id !== null && pick({ ours: id })}
        />
      </div>
      <div className={classes.pick}>
        <Select
          {...common}
          label="Theirs: merged"
          value={theirs ?? null}
          onChange={(id) => id !== null && pick({ theirs: id })}
        />
      </div>
    </FilterBar>
  );
}

function Merge({ calibrationId, found }: { readonly calibrationId: string; readonly found: MergeResponse }) {
  const { ours, theirs, base, conflicts, takenFromOurs, takenFromTheirs } = found;
  const [choices, setChoices] = useState<Choices>({});
  const create = useCreateMerge(calibrationId);
  const navigate = useNavigate();
  const settled = settledChoices(conflicts, choices);
  const open = openCount(conflicts, choices);
  const labels = { ours: `r${ours.number} (${ours.line})`, theirs: `r${theirs.number} (${theirs.line})` };
  const make = () =>
    settled !== undefined &&
    create.mutate(
      { oursId: ours.id, theirsId: theirs.id, choices: settled },
      { onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }) },
    );
  return (
    <>
      <Section title="What is clear">
        <dl className={classes.facts}>
          <div>
            <dt>Common ancestor</dt>
            <dd>
              <TextLink to="/revisions/$revisionId" params={{ revisionId: base.id }}>
                r{base.number}
              </TextLink>{' '}
              {base.message}
            </dd>
          </div>
          <div>
            <dt>Only {labels.ours} changed</dt>
            <dd>
              {counted(takenFromOurs, 'cell')} ·{' '}
              <TextLink to="/compare" search={{ base: base.id, other: ours.id }}>
                compare
              </TextLink>
            </dd>
          </div>
          <div>
            <dt>Only {labels.theirs} changed</dt>
            <dd>
              {counted(takenFromTheirs, 'cell')} ·{' '}
              <TextLink to="/compare" search={{ base: base.id, other: theirs.id }}>
                compare
              </TextLink>
            </dd>
          </div>
        </dl>
      </Section>
      <Section
        title="What both changed"
        note={
          conflicts.length === 0
            ? 'Nothing: the two lines can be brought together without a choice.'
            : `${counted(conflicts.length, 'conflict')}, ${open === 0 ? 'all settled' : `${formatCount(open)} open`}. Choose a side for each, or type a number of your own.`
        }
        actions={
          conflicts.length > 0 && (
            <Group gap="xs">
              <Button variant="default" size="compact-sm" onClick={() => setChoices(withSide({}, conflicts, 'ours'))}>
                All from {labels.ours}
              </Button>
              <Button variant="default" size="compact-sm" onClick={() => setChoices(withSide({}, conflicts, 'theirs'))}>
                All from {labels.theirs}
              </Button>
            </Group>
          )
        }
      >
        {groupConflicts(conflicts).map((group) => (
          <ConflictTable key={group.key} group={group} labels={labels} choices={choices} onChoose={setChoices} />
        ))}
      </Section>
      {create.error !== null && <ProblemNotice error={create.error} />}
      <Group mt="md">
        <Button disabled={settled === undefined} loading={create.isPending} onClick={make}>
          Make the draft
        </Button>
        {settled === undefined && (
          <span className={classes.soft}>{counted(open, 'conflict is', 'conflicts are')} open.</span>
        )}
      </Group>
    </>
  );
}
