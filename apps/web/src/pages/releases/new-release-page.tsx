import { Button, Group, MultiSelect, NumberInput, Select, TagsInput, Text, Textarea } from '@mantine/core';
import { createReleaseRequest, type ReleaseCohort, type RevisionSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useState } from 'react';
import { releaseQueries, useDraftRelease } from '../../api/releases.js';
import { MapsCaution } from '../../parts/caution.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { CohortPreview } from './cohort-preview.js';
import classes from './releases.module.css';
import { StageFields, toStage, USUAL_STAGES } from './stage-fields.js';
import { useRevisions } from './use-revisions.js';

const NO_WISH: ReleaseCohort = { dialects: [], engines: [], tags: [], hardware: [] };

/** A draft of a release: which revision, for which cars, in which stages. */
export function NewReleasePage() {
  const search = useSearch({ from: '/house/releases/new' });
  const navigate = useNavigate();
  const revisions = useRevisions();
  const approved = revisions.filter(({ reviewState }) => reviewState === 'approved');
  const revision = approved.find(({ id }) => id === search.revision);
  const choose = (id: string | null) =>
    void navigate({ to: '/releases/new', search: { revision: id ?? undefined }, replace: true });
  return (
    <>
      <PageHead
        title="New release"
        crumbs={<TextLink to="/releases">Releases</TextLink>}
        lead="Drafted first: nobody is offered anything before you start it."
        cautions={<MapsCaution />}
      />
      <Section title="Revision" note="Only content that was approved, exactly as it is, can be released.">
        {approved.length === 0 ? (
          <EmptyState title="No revision is approved" action={<ButtonLink to="/reviews">Reviews</ButtonLink>}>
            Ask for a review on the page of a revision; somebody who had no hand in it approves it.
          </EmptyState>
        ) : (
          <Select
            label="Approved revision"
            placeholder="Choose a revision"
            maw={520}
            data={approved.map((entry) => ({ value: entry.id, label: labelOf(entry) }))}
            value={search.revision ?? null}
            onChange={choose}
          />
        )}
      </Section>
      {revision !== undefined && <ReleaseForm key={revision.id} revision={revision} revisions={revisions} />}
    </>
  );
}

const labelOf = ({ calibrationTitle, number, message }: RevisionSummary) =>
  `${calibrationTitle} r${number}: ${message}`;

interface ReleaseFormProps {
  readonly revision: RevisionSummary;
  readonly revisions: readonly RevisionSummary[];
}

function ReleaseForm({ revision, revisions }: ReleaseFormProps) {
  const navigate = useNavigate();
  const draft = useDraftRelease();
  const others = revisions.filter(({ platformId, id }) => platformId === revision.platformId && id !== revision.id);
  const [replacesId, setReplacesId] = useState<string | null>(revision.parentId);
  const [words, setWords] = useState(revision.message);
  const [cohort, setCohort] = useState<ReleaseCohort>(NO_WISH);
  const [stages, setStages] = useState(USUAL_STAGES);
  const [limit, setLimit] = useState<number | string>(0);
  const preview = useQuery(releaseQueries.cohort(revision.id, cohort));
  const choices = preview.data?.choices;
  const request = createReleaseRequest.safeParse({
    revisionId: revision.id,
    replacesId,
    words,
    cohort,
    stages: stages.map(toStage),
    harmLimit: Number(limit) / 100,
  });
  const wish = (change: Partial<ReleaseCohort>) => setCohort((now) => ({ ...now, ...change }));
  return (
    <>
      <Section title="What its people read">
        <div className={classes.fields}>
          <Textarea
            label="What changed, in words"
            description="For the people who install it: what they should feel, and what to look out for."
            autosize
            minRows={3}
            maxLength={2000}
            value={words}
            onChange={(event) => setWords(event.currentTarget.value)}
          />
          <Select
            label="Replaces"
            description="What the monitor compares it with, and what cars go back to when it is recalled."
            placeholder="Nothing: it is the first"
            clearable
            data={others.map((entry) => ({ value: entry.id, label: labelOf(entry) }))}
            value={replacesId}
            onChange={setReplacesId}
          />
        </div>
      </Section>
      <Section
        title={<HelpTerm term="releaseCohort">Cohort</HelpTerm>}
        note={`Always: gearbox ${revision.platformId}, layout version ${revision.layoutVersion}, bus dialect verified. Left empty, each of these asks for nothing.`}
      >
        <div className={classes.fields}>
          <MultiSelect
            label="Verified bus dialect"
            data={choices?.dialects ?? []}
            value={cohort.dialects}
            onChange={(dialects) => wish({ dialects })}
          />
          <TagsInput
            label="Engine contains"
            data={choices?.engines ?? []}
            value={cohort.engines}
            onChange={(engines) => wish({ engines })}
          />
          <MultiSelect
            label="Tags, any of them"
            data={choices?.tags ?? []}
            value={cohort.tags}
            onChange={(tags) => wish({ tags })}
          />
          <MultiSelect
            label="Hardware of the control unit"
            data={choices?.hardware ?? []}
            value={cohort.hardware}
            onChange={(hardware) => wish({ hardware })}
          />
        </div>
        <QueryView query={preview}>{({ cars }) => <CohortPreview cars={cars} />}</QueryView>
      </Section>
      <Section
        title="Stages"
        note="Counts of cars first, then rising shares; the last takes everybody. Before each next stage so much must have come in, and the monitor must not be in doubt."
      >
        <StageFields stages={stages} onChange={setStages} />
        <NumberInput
          mt="md"
          label="Harm limit (percentage points)"
          description="A proven rise of flares or harsh shifts beyond this holds the release by itself; 0 is any."
          w={280}
          min={0}
          max={100}
          step={0.5}
          value={limit}
          onChange={setLimit}
        />
      </Section>
      {draft.error !== null && <ProblemNotice error={draft.error} />}
      <Group gap="sm" align="center">
        <Button
          loading={draft.isPending}
          disabled={!request.success}
          onClick={() =>
            request.success &&
            draft.mutate(request.data, {
              onSuccess: ({ id }) => void navigate({ to: '/releases/$releaseId', params: { releaseId: id } }),
            })
          }
        >
          Draft the release
        </Button>
        {!request.success && (
          <Text size="sm" c="dimmed">
            Words and sizes of all stages are needed.
          </Text>
        )}
      </Group>
    </>
  );
}
