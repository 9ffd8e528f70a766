import type { ReportResponse } from '@syncline/contract';
import { counted, formatCount } from '../../format/quantity.js';
import { SIGNAL_TERMS } from '../../format/signals.js';
import { formatDuration } from '../../format/time.js';
import { DISTURBANCE_WORDS, sentence } from '../../format/words.js';
import { Section } from '../../parts/section.js';
import classes from './report.module.css';

/** What was disturbed, unreadable or missing, and what it does to the results. */
export function DoubtsSection({ report }: { readonly report: ReportResponse }) {
  const lines = doubtLines(report);
  return (
    <Section title="What was disturbed or could not be read" note="Counted and left as it is; nothing was repaired.">
      {lines.length === 0 ? (
        <p className={classes.story}>Nothing was found to doubt.</p>
      ) : (
        <ul className={classes.lines}>
          {lines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      )}
    </Section>
  );
}

/** Each doubt as a sentence: what was seen, and its effect where one is known. */
export function doubtLines({ doubts, total }: Pick<ReportResponse, 'doubts' | 'total'>): string[] {
  const { disturbances, disturbedShifts, cutShifts, sampleFindings, readFindings, quality } = doubts;
  const lines: string[] = [];
  if (disturbedShifts > 0) {
    const parts = disturbances.map(
      ({ disturbance, shifts }) => `${DISTURBANCE_WORDS[disturbance] ?? disturbance} in ${formatCount(shifts)}`,
    );
    lines.push(
      `${formatCount(disturbedShifts)} of ${counted(total.shifts, 'shift')} were disturbed (${parts.join(', ')}). They are graded, but weigh less where corrections are estimated.`,
    );
  }
  if (cutShifts > 0) {
    lines.push(
      `${counted(cutShifts, 'shift was', 'shifts were')} cut by a gap or the end of the log and can be graded in part only.`,
    );
  }
  for (const { message, effect } of quality?.findings ?? []) lines.push(`${sentence(message)} ${sentence(effect)}`);
  if (quality !== null && quality.timing.suitability !== 'good') {
    const verdict = quality.timing.suitability === 'coarse' ? 'coarsely sampled' : 'sampled too slowly to time shifts';
    lines.push(`The log is ${verdict}: ${quality.timing.reason}.`);
  }
  if (sampleFindings !== null) {
    const { gaps, longestGapS, repeatedTimes, stepsBack, unreadableRatioS, missingSignals } = sampleFindings;
    if (gaps > 0) {
      lines.push(
        `${counted(gaps, 'gap')} in the samples, the longest ${formatDuration(longestGapS)}; no shift is read across one.`,
      );
    }
    if (repeatedTimes + stepsBack > 0) {
      lines.push(
        `The clock of the logger repeated ${counted(repeatedTimes, 'time')} and stepped back ${counted(stepsBack, 'time')}.`,
      );
    }
    if (unreadableRatioS > 0) {
      lines.push(
        `For ${formatDuration(unreadableRatioS)} the gear could not be read from the speeds: near standstill, or a speed was missing.`,
      );
    }
    if (missingSignals.length > 0) {
      lines.push(`Not in the log: ${missingSignals.map(signalWord).join(', ')}. What needs them is not measured.`);
    }
  }
  if (readFindings !== null) {
    const { damagedRowCount, rowCount, missingValues } = readFindings;
    if (damagedRowCount > 0) {
      lines.push(
        `${formatCount(damagedRowCount)} of ${counted(rowCount, 'row')} of the file were damaged and left out.`,
      );
    }
    const missing = Object.entries(missingValues).filter(([, count]) => count > 0);
    if (missing.length > 0) {
      const parts = missing.map(([signal, count]) => `${counted(count, 'value')} of ${signalWord(signal)}`);
      lines.push(`Missing in rows that were read: ${parts.join(', ')}.`);
    }
  }
  return lines;
}

function signalWord(signal: string): string {
  return SIGNAL_TERMS.find(({ id }) => id === signal)?.title.toLowerCase() ?? signal;
}
