import type { ApplicationState, LogState, RequestState, VehicleSummary } from '@syncline/contract';
import { APPLICATION_STATE_WORDS, LOG_STATE_WORDS, REQUEST_STATE_WORDS } from '../format/words.js';
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

const REQUEST_LOOKS: Record<RequestState, Look> = {
  open: { path: DOT, isFilled: false, colour: '--accent-ink' },
  met: { path: TICK, isFilled: false, colour: '--ink' },
  withdrawn: { path: CROSS, isFilled: false, colour: '--ink-soft' },
  expired: { path: CROSS, isFilled: false, colour: '--caution-ink' },
};

/** State of a drive request as shape and word. */
export function RequestStateMark({ state }: { readonly state: RequestState }) {
  return <Mark word={REQUEST_STATE_WORDS[state]} {...REQUEST_LOOKS[state]} />;
}

const APPLICATION_LOOKS: Record<ApplicationState, Look> = {
  new: { path: DOT, isFilled: true, colour: '--accent-ink' },
  waiting: { path: DOT, isFilled: false, colour: '--ink-soft' },
  invited: { path: TICK, isFilled: false, colour: '--ink' },
  declined: { path: CROSS, isFilled: false, colour: '--ink-soft' },
};

/** State of an application as shape and word. */
export function ApplicationStateMark({ state }: { readonly state: ApplicationState }) {
  return <Mark word={APPLICATION_STATE_WORDS[state]} {...APPLICATION_LOOKS[state]} />;
}

/** Whether a car may be offered revisions as far as its bus dialect goes, as shape and word. */
export function ClearanceMark({ isCleared }: { readonly isCleared: boolean }) {
  return (
    <Mark word={isCleared ? 'allowed' : 'not allowed'} {...VERDICT_LOOKS[isCleared ? 'confirmed' : 'contradicted']} />
  );
}

/** Whether something is switched on, as shape and word. */
export function OnOffMark({ isOn }: { readonly isOn: boolean }) {
  return isOn ? (
    <Mark word="on" path={TICK} isFilled={false} colour="--ink" />
  ) : (
    <Mark word="off" path={DOT} isFilled={false} colour="--ink-soft" />
  );
}

/** Whether a member may come in, as shape and word. */
export function MemberMark({ isSuspended }: { readonly isSuspended: boolean }) {
  return isSuspended ? (
    <Mark word="suspended" path={CROSS} isFilled={false} colour="--caution-ink" />
  ) : (
    <Mark word="member" path={TICK} isFilled={false} colour="--ink" />
  );
}

/** Whether a chain of entries is as it was written, as shape and word. */
export function ChainMark({ isWhole }: { readonly isWhole: boolean }) {
  return isWhole ? (
    <Mark word="whole" path={TICK} isFilled={false} colour="--ink" />
  ) : (
    <Mark word="broken" path={CROSS} isFilled={false} colour="--fault" />
  );
}

/** How much a finding weighs, as shape and word. */
export function SeverityMark({ severity }: { readonly severity: 'error' | 'warning' }) {
  return severity === 'error' ? (
    <Mark word="wrong" path={CROSS} isFilled={false} colour="--fault" />
  ) : (
    <Mark word="doubtful" path={QUESTION} isFilled={false} colour="--caution-ink" />
  );
}
