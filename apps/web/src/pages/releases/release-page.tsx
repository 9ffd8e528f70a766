import { mayDo, type ReleaseResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { releaseQueries } from '../../api/releases.js';
import { useSession } from '../../api/session.js';
import { formatNumber } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { ActButtons } from './act-buttons.js';
import { CarsSection } from './cars-section.js';
import { DownloadsSection } from './downloads-section.js';
import { EventsSection } from './events-section.js';
import { LadderSection } from './ladder-section.js';
import { MonitorSection } from './monitor-section.js';
import { ReleaseStateMark } from './release-marks.js';
import { spreadWords } from './release-words.js';
import classes from './releases.module.css';

/** One release: how far it is, how it goes, who has it, and what happened. */
export function ReleasePage() {
  const { releaseId } = useParams({ from: '/house/releases/$releaseId' });
  const search = useSearch({ from: '/house/releases/$releaseId' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const query = useQuery(releaseQueries.one(releaseId));
  const release = query.data;
  return (
    <>
      <PageHead
        title={release === undefined ? 'Release' : `Release of ${release.revisionLabel}`}
        crumbs={<TextLink to="/releases">Releases</TextLink>}
        lead={
          release && (
            <>
              <ReleaseStateMark state={release.state} />
              {release.state !== 'draft' && ` · ${spreadWords(release)}`}
            </>
          )
        }
        actions={release && mayDo(role, 'release:write') && <ActButtons release={release} />}
      />
      <QueryView query={query}>
        {(shown) => (
          <>
            <StateReason release={shown} />
            <div className={classes.columns}>
              <LadderSection release={shown} />
              <WhatSection release={shown} />
            </div>
            <MonitorSection
              release={shown}
              part={search.part}
              onPart={(part) =>
                void navigate({
                  to: '/releases/$releaseId',
                  params: { releaseId },
                  search: { part },
                  resetScroll: false,
                })
              }
            />
            <CarsSection release={shown} />
            <DownloadsSection release={shown} />
            <EventsSection release={shown} />
          </>
        )}
      </QueryView>
    </>
  );
}

/** Why it is held or was recalled, before anything else. */
function StateReason({ release }: { readonly release: ReleaseResponse }) {
  const kind = release.state === 'held' ? 'hold' : release.state === 'recalled' ? 'recall' : null;
  const event = kind && release.events.findLast((entry) => entry.kind === kind);
  if (!event) return null;
  return (
    <div className={classes.offer} data-kind="held" role="note">
      <p className={classes.offerTitle}>
        {kind === 'hold' ? 'Held' : 'Recalled'} by {event.byName}, <Instant at={event.at} />
      </p>
      <p>{event.reason}</p>
    </div>
  );
}

function WhatSection({ release }: { readonly release: ReleaseResponse }) {
  const { cohort } = release;
  const any = (values: readonly string[]) => (values.length === 0 ? 'any' : values.join(' or '));
  return (
    <Section
      title="What it is"
      actions={
        release.replacesId !== null && (
          <ButtonLink
            size="compact-sm"
            variant="default"
            to="/compare"
            search={{ base: release.replacesId, other: release.revisionId }}
          >
            Compare
          </ButtonLink>
        )
      }
    >
      <p className={classes.words}>{release.words}</p>
      <dl className={classes.facts}>
        <dt>Revision</dt>
        <dd>
          <RevisionLink revisionId={release.revisionId} label={release.revisionLabel} />
        </dd>
        <dt>Content hash</dt>
        <dd>
          <code className={classes.hash}>{release.contentHash}</code>
        </dd>
        <dt>Replaces</dt>
        <dd>
          <RevisionLink revisionId={release.replacesId} label={release.replacesLabel} />
        </dd>
        <dt>Gearbox, layout</dt>
        <dd>
          {release.platformTitle}, version {release.layoutVersion}
        </dd>
        <dt>Bus dialect</dt>
        <dd>verified, {any(cohort.dialects)}</dd>
        <dt>Engine</dt>
        <dd>{any(cohort.engines)}</dd>
        <dt>Tags</dt>
        <dd>{any(cohort.tags)}</dd>
        <dt>Control unit</dt>
        <dd>{any(cohort.hardware)}</dd>
        <dt>Harm limit</dt>
        <dd>
          {release.harmLimit === 0
            ? 'any proven rise of flares or harsh shifts'
            : `${formatNumber(release.harmLimit * 100, 1)} percentage points more flares or harsh shifts`}
        </dd>
        <dt>Drafted</dt>
        <dd>
          {release.createdByName}, <Instant at={release.createdAt} precision="day" />
        </dd>
      </dl>
    </Section>
  );
}
