import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { releaseQueries } from '../../api/releases.js';
import { useSession } from '../../api/session.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { ReleaseStateMark } from './release-marks.js';
import { spreadWords } from './release-words.js';
import classes from './releases.module.css';

/** Releases of a platform that are running or held, in a few lines. Shows nothing to those who may not see releases. */
export function RunningRollout({ platform }: { readonly platform: string }) {
  const { role } = useSession().person;
  return mayDo(role, 'release:read') ? <Rollouts platform={platform} /> : null;
}

function Rollouts({ platform }: { readonly platform: string }) {
  const query = useQuery(releaseQueries.list({ platform }));
  return (
    <Section title="Running rollout" actions={<TextLink to="/releases">All releases</TextLink>}>
      <QueryView
        query={query}
        isEmpty={({ items }) => !items.some(({ state }) => state === 'running' || state === 'held')}
        empty="Nothing is on its way to cars now."
      >
        {({ items }) => (
          <ul className={classes.rollouts}>
            {items
              .filter(({ state }) => state === 'running' || state === 'held')
              .map(({ id, revisionLabel, state, stateReason, stage, stageCount, ...counts }) => (
                <li key={id} className={classes.rollout}>
                  <TextLink to="/releases/$releaseId" params={{ releaseId: id }}>
                    {revisionLabel}
                  </TextLink>
                  <ReleaseStateMark state={state} />
                  <span>
                    stage {stage + 1} of {stageCount}: {spreadWords(counts)}
                  </span>
                  {stateReason !== '' && <span className={classes.small}>{stateReason}</span>}
                </li>
              ))}
          </ul>
        )}
      </QueryView>
    </Section>
  );
}
