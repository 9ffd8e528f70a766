import type { LogQuality } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { formatNumber, formatQuantity } from '../../format/quantity.js';
import { SIGNAL_TERMS } from '../../format/signals.js';
import { formatDuration } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { SeverityMark } from '../../parts/state-mark.js';
import { Fact } from './fact.js';
import classes from './log.module.css';

type Finding = LogQuality['findings'][number];

const CSV_COLUMNS = [
  { header: 'finding', cell: ({ code }: Finding) => code },
  { header: 'signal', cell: ({ signal }: Finding) => signal },
  { header: 'severity', cell: ({ severity }: Finding) => severity },
  { header: 'message', cell: ({ message }: Finding) => message },
  { header: 'effect', cell: ({ effect }: Finding) => effect },
];

interface QualityFindingsProps {
  readonly quality: LogQuality;
  readonly fileName: string;
}

/** What is doubtful about the values of a log, and what that does to its results. */
export function QualityFindings({ quality: { findings }, fileName }: QualityFindingsProps) {
  if (findings.length === 0) return <p className={classes.small}>No signal hangs, is cut off or in a doubtful unit.</p>;
  return (
    <>
      <ul className={classes.findings}>
        {findings.map((finding) => (
          <li key={`${finding.code} ${finding.signal}`}>
            <SeverityMark severity={finding.severity} /> <strong>{titleOf(finding.signal)}.</strong> {finding.message}{' '}
            {finding.effect}
          </li>
        ))}
      </ul>
      <CsvButton fileName={csvFileName(fileName, 'findings')} columns={CSV_COLUMNS} rows={findings} />
    </>
  );
}

/** How evenly the log was sampled, and whether shifts can be timed from it. */
export function TimingFacts({ quality: { timing } }: { readonly quality: LogQuality }) {
  const { rateHz, jitter, suitability, reason, stepsBack, longestStepBackS } = timing;
  return (
    <>
      <Fact word="Sampling rate" value={formatQuantity(rateHz, 'Hz', 1)} />
      <Fact word="Jitter of the interval" value={jitter === null ? '–' : `± ${formatNumber(100 * jitter, 1)} %`} />
      <Fact word="For timing shifts" value={suitability === 'good' ? 'good' : `${suitability}: ${reason}`} />
      {stepsBack > 0 && <Fact word="Longest step back in time" value={formatDuration(longestStepBackS)} />}
    </>
  );
}

export function titleOf(signal: string): string {
  return SIGNAL_TERMS.find(({ id }) => id === signal)?.title ?? signal;
}
