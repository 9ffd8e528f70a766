import type { LogResponse } from '@syncline/contract';
import { formatCount } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { Section } from '../../parts/section.js';
import { Fact } from './fact.js';
import { JoinTable } from './join-table.js';
import classes from './log.module.css';
import { QualityFindings, TimingFacts, titleOf } from './quality-findings.js';

type Samples = NonNullable<LogResponse['sampleFindings']>;
type Reading = NonNullable<LogResponse['readFindings']>;

/** What was odd in the file: counted and located, nothing of it repaired. */
export function FindingsSection({ log }: { readonly log: LogResponse }) {
  return (
    <Section title="Quality of this log" note="Oddities are counted and left as they are; nothing was repaired.">
      {log.quality !== null && <QualityFindings quality={log.quality} fileName={log.fileName} />}
      <dl className={classes.facts} style={{ maxWidth: 560 }}>
        {log.quality !== null && <TimingFacts quality={log.quality} />}
        {log.sampleFindings !== null && <SampleFacts found={log.sampleFindings} />}
        {log.readFindings !== null && <ReadFacts found={log.readFindings} />}
      </dl>
      {log.quality?.join && <JoinTable join={log.quality.join} fileName={log.fileName} />}
      {log.readFindings !== null && <Damage found={log.readFindings} />}
    </Section>
  );
}

function SampleFacts({ found }: { readonly found: Samples }) {
  return (
    <>
      <Fact word="Samples" value={`${formatCount(found.sampleCount)} in ${formatDuration(found.durationS)}`} />
      <Fact
        word="Gaps"
        value={found.gaps === 0 ? 'none' : `${found.gaps}, the longest ${formatDuration(found.longestGapS)}`}
      />
      <Fact word="Repeated times" value={formatCount(found.repeatedTimes)} />
      <Fact word="Steps back in time" value={formatCount(found.stepsBack)} />
      <Fact word="Ratio not readable" value={formatDuration(found.unreadableRatioS)} />
      <Fact
        word="Signals not in the file"
        value={found.missingSignals.length === 0 ? 'none' : found.missingSignals.map(titleOf).join(', ')}
      />
    </>
  );
}

function ReadFacts({ found }: { readonly found: Reading }) {
  const missing = Object.entries(found.missingValues).filter(([, count]) => count > 0);
  return (
    <>
      <Fact word="Rows" value={formatCount(found.rowCount)} />
      <Fact word="Damaged rows, left out" value={formatCount(found.damagedRowCount)} />
      {missing.map(([signal, count]) => (
        <Fact key={signal} word={`Missing values: ${titleOf(signal)}`} value={formatCount(count)} />
      ))}
    </>
  );
}

function Damage({ found }: { readonly found: Reading }) {
  const lines = [
    ...found.remarks,
    ...found.damagedRows.map(
      ({ line, column, found: seen, expected }) =>
        `Line ${line}${column === null ? '' : `, ${column}`}: found ${seen}, expected ${expected}`,
    ),
  ];
  if (lines.length === 0) return null;
  return (
    <ul className={classes.small}>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
}
