import type { NearestShift, ReportResponse } from '@syncline/contract';
import { formatQuantity } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './report.module.css';

/** What was marked during the drive with a button, and what was written to it afterwards. */
export function MomentsSection({ report: { marks, notes, log } }: { readonly report: ReportResponse }) {
  if (marks.length + notes.length === 0) return null;
  const moments = [
    ...marks.map(({ atS, nearest }, index) => ({ key: `mark ${index}`, atS, nearest, text: null, byName: null })),
    ...notes.map(({ id, ...note }) => ({ ...note, key: id })),
  ].sort((a, b) => a.atS - b.atS);
  return (
    <Section title="Marks and notes" note="Presses of the marker button in the log, and notes written after the drive.">
      <ul className={classes.lines}>
        {moments.map(({ key, atS, nearest, text, byName }) => (
          <li key={key}>
            <TextLink to="/logs/$logId" params={{ logId: log.id }} search={{ at: atS }}>
              {formatElapsed(atS, 1)}
            </TextLink>
            {text === null ? ' The button was pressed. ' : `: “${text}” (${byName}). `}
            <Nearest nearest={nearest} logId={log.id} />
          </li>
        ))}
      </ul>
    </Section>
  );
}

function Nearest({ nearest, logId }: { readonly nearest: NearestShift; readonly logId: string }) {
  if (nearest === null) return 'No shift is near.';
  const { id, kind, commandS, grades, apartS } = nearest;
  return (
    <>
      The nearest shift is{' '}
      <TextLink to="/logs/$logId" params={{ logId }} search={{ shift: id }}>
        {kind} at {formatElapsed(commandS, 1)}
      </TextLink>
      , {formatQuantity(apartS, 's', 1)} away: {grades.length === 0 ? 'cut, not graded' : grades.join(', ')}.
    </>
  );
}
