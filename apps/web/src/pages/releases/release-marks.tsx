import type { ReleaseCar, ReleaseState, WatchVerdict } from '@syncline/contract';
import { Mark } from '../../parts/mark.js';
import { VERDICT_WORDS } from './release-words.js';

const DOT = 'M6 2.5a3.5 3.5 0 1 0 0.01 0Z';
const CROSS = 'M2 2 10 10M10 2 2 10';
const TICK = 'M1.5 6.5 4.8 9.8 10.5 2.5';
const QUESTION = 'M3.4 4.2C3.4 0.8 8.6 0.8 8.6 4.2C8.6 6.2 6 6 6 8M6 9.6V11.2';
const ARROW = 'M1 6H10M6.5 2.5 10 6 6.5 9.5';
const BARS = 'M4 2V10M8 2V10';

type Look = Parameters<typeof Mark>[0];

const STATES: Record<ReleaseState, Look> = {
  draft: { word: 'Draft', path: DOT, isFilled: false, colour: '--ink-soft' },
  running: { word: 'Running', path: ARROW, isFilled: false, colour: '--accent-ink' },
  held: { word: 'Held', path: BARS, isFilled: false, colour: '--caution-ink' },
  complete: { word: 'Complete', path: TICK, isFilled: false, colour: '--ink' },
  recalled: { word: 'Recalled', path: CROSS, isFilled: false, colour: '--fault' },
};

/** State of a release as shape and word. */
export function ReleaseStateMark({ state }: { readonly state: ReleaseState }) {
  return <Mark {...STATES[state]} />;
}

const VERDICTS: Record<WatchVerdict, Omit<Look, 'word'>> = {
  harm: { path: CROSS, isFilled: false, colour: '--fault' },
  doubtful: { path: QUESTION, isFilled: false, colour: '--caution-ink' },
  safe: { path: TICK, isFilled: false, colour: '--ink' },
  open: { path: DOT, isFilled: false, colour: '--ink-soft' },
  insufficient: { path: DOT, isFilled: false, colour: '--ink-soft' },
};

/** What the monitor says as shape and word. */
export function WatchMark({ verdict }: { readonly verdict: WatchVerdict }) {
  return <Mark word={VERDICT_WORDS[verdict]} {...VERDICTS[verdict]} />;
}

const ANSWERS: Record<ReleaseCar['answer'], Look> = {
  none: { word: 'No answer yet', path: DOT, isFilled: false, colour: '--ink-soft' },
  installed: { word: 'Installed', path: TICK, isFilled: false, colour: '--ink' },
  failed: { word: 'Could not', path: CROSS, isFilled: false, colour: '--caution-ink' },
};

/** What the person of a car answered, as shape and word. */
export function AnswerMark({ answer }: { readonly answer: ReleaseCar['answer'] }) {
  return <Mark {...ANSWERS[answer]} />;
}
