import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { GradeTally } from '../../parts/grade-tally.js';
import { Instant } from '../../parts/instant.js';
import { LogProgress } from '../../parts/log-progress.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './lists.module.css';

const SHOWN = 8;

/** What came in last, with its state. */
export function NewestLogs() {
  const query = useQuery(logQueries.list({ limit: SHOWN }));
  return (
    <Section title="Newest drives" actions={<TextLink to="/logs">All drives</TextLink>}>
      <QueryView query={query} isEmpty={({ items }) => items.length === 0} empty="No drive has been uploaded yet.">
        {({ items }) => (
          <ul className={classes.list}>
            {items.map((log) => (
              <li key={log.id} className={classes.line}>
                <span className={classes.main}>
                  <TextLink to="/logs/$logId" params={{ logId: log.id }}>
                    {log.fileName}
                  </TextLink>
                  <span>
                    {log.vehicleTitle}, <Instant at={log.drivenAt} precision="day" />
                  </span>
                </span>
                <span className={classes.side}>
                  {log.state === 'ready' ? <GradeTally grades={log.grades} /> : <LogProgress log={log} />}
                </span>
              </li>
            ))}
          </ul>
        )}
      </QueryView>
    </Section>
  );
}
