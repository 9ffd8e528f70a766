import type { RevisionSummary } from '@syncline/contract';
import { Mark } from '../../parts/mark.js';

const DOT = 'M6 2.5a3.5 3.5 0 1 0 0.01 0Z';
const EYE = 'M1 6C3.5 2 8.5 2 11 6C8.5 10 3.5 10 1 6ZM6 4.5a1.5 1.5 0 1 0 0.01 0Z';
const TICK = 'M1.5 6.5 4.8 9.8 10.5 2.5';
const BACK = 'M10.5 9.5V7.5C10.5 5.5 9 4.5 7 4.5H2M5 1.5 2 4.5 5 7.5';
const CROSS = 'M2 2 10 10M10 2 2 10';

type State = RevisionSummary['reviewState'] | 'withdrawn';

const LOOKS: Record<State, Parameters<typeof Mark>[0]> = {
  none: { word: 'not reviewed', path: DOT, isFilled: false, colour: '--ink-soft' },
  open: { word: 'in review', path: EYE, isFilled: false, colour: '--accent-ink' },
  approved: { word: 'approved', path: TICK, isFilled: false, colour: '--ink' },
  sentBack: { word: 'sent back', path: BACK, isFilled: false, colour: '--caution-ink' },
  withdrawn: { word: 'withdrawn', path: CROSS, isFilled: false, colour: '--ink-soft' },
};

/** What reviewers said of a revision, as shape and word. */
export function ReviewMark({ state }: { readonly state: State }) {
  return <Mark {...LOOKS[state]} />;
}

/** The same as a word alone, for downloads. */
export function reviewWord(state: State): string {
  return LOOKS[state].word;
}
