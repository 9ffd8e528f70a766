import type { LogState, VehicleSummary } from '@syncline/contract';
import { LOG_STATE_WORDS } from '../format/words.js';
import { Mark } from './mark.js';

const DOT = 'M6 2.5a3.5 3.5 0 1 0 0.01 0Z';
const CROSS = 'M2 2 10 10M10 2 2 10';
const TICK = 'M1.5 6.5 4.8 9.8 10.5 2.5';
const QUESTION = 'M3.4 4.2C3.4 0.8 8.6 0.8 8.6 4.2C8.6 6.2 6 6 6 8M6 9.6V11.2';
const ARROW = 'M1 6H10M6.5 2.5 10 6 6.5 9.5';

type Look = Omit<Parameters<typeof Mark>[0], 'word'>;

const LOG_LOOKS: Record<LogState, Look> = {
  waiting: { path: DOT, isFilled: false, colour: '--ink-soft' },
  awaitingMap: { path: QUESTION, isFilled: false, colour: '--caution-ink' },
  decoding: { path: ARROW, isFilled: false, colour: '--accent-ink' },
  analysing: { path: ARROW, isFilled: false, colour: '--accent-ink' },
  ready: { path: TICK, isFilled: false, colour: '--ink' },
  refused: { path: CROSS, isFilled: false, colour: '--caution-ink' },
  failed: { path: CROSS, isFilled: false, colour: '--fault' },
};

/** State of a drive log as shape and word. */
export function LogStateMark({ state }: { readonly state: LogState }) {
  return <Mark word={LOG_STATE_WORDS[state]} {...LOG_LOOKS[state]} />;
}

type Verdict = VehicleSummary['dialectVerdict'];
const VERDICT_LOOKS: Record<Verdict, Look> = {
  confirmed: { path: TICK, isFilled: false, colour: '--ink' },
  contradicted: { path: CROSS, isFilled: false, colour: '--fault' },
  unknown: { path: QUESTION, isFilled: false, colour: '--caution-ink' },
};

/** Whether the declared bus dialect was observed, as shape and word. */
export function VerdictMark({ verdict }: { readonly verdict: Verdict }) {
  return <Mark word={verdict} {...VERDICT_LOOKS[verdict]} />;
}
