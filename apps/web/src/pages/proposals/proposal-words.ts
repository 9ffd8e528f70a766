import type { NodeProposal, Oddity, ProposalPolicy, ProposalSubject, ProposalSummary } from '@syncline/contract';
import { formatChange, formatNumber } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';

export type NodeReason = NodeProposal['reasons'][number];

/** A letter and a word for the cell; a sentence for the readout. */
interface ReasonWords {
  readonly letter: string;
  readonly word: string;
  readonly sentence: (policy: ProposalPolicy) => string;
}

export const REASON_WORDS: Readonly<Record<NodeReason, ReasonWords>> = {
  notPositive: {
    letter: 'N',
    word: 'not above 0',
    sentence: () => 'Left alone: the value is not above 0, so a share of it means nothing.',
  },
  tooFewShifts: {
    letter: 'S',
    word: 'few shifts',
    sentence: ({ minShifts }) => `Left alone: too few shifts, ${formatNumber(minShifts, 0)} are needed.`,
  },
  tooFewVehicles: {
    letter: 'C',
    word: 'few cars',
    sentence: ({ minVehicles }) => `Left alone: too few cars, ${formatNumber(minVehicles, 0)} are needed.`,
  },
  tooUncertain: {
    letter: 'U',
    word: 'uncertain',
    sentence: ({ maxSdLn }) =>
      `Left alone: too uncertain, a standard deviation up to ${formatShare(maxSdLn)} is allowed.`,
  },
  withinUncertainty: {
    letter: 'W',
    word: 'within ±',
    sentence: ({ leastSignal }) =>
      `Left alone: the correction is within its own uncertainty (${formatNumber(leastSignal, 1)} standard deviations).`,
  },
  stepLimit: {
    letter: 'T',
    word: 'step',
    sentence: ({ maxStep }) => `Limited: one revision changes a value by at most ${formatShare(maxStep)}.`,
  },
  layoutLimit: { letter: 'L', word: 'limit', sentence: () => 'Limited by what the layout allows.' },
  flaring: {
    letter: 'F',
    word: 'flares',
    sentence: ({ maxFlareRate }) =>
      `Not lowered: more than ${formatShare(maxFlareRate)} of the shifts over it flared, whatever the rest says.`,
  },
  course: {
    letter: 'M',
    word: 'course',
    sentence: () => 'Limited by the course that the layout asks for along an axis.',
  },
  slope: { letter: 'G', word: 'slope', sentence: () => 'Limited by the steepest slope that the layout allows.' },
  carried: {
    letter: 'A',
    word: 'goes along',
    sentence: () =>
      'Too little evidence of its own: it only goes along, so that course or slope do not hold a neighbour.',
  },
  storageStep: { letter: 'R', word: 'rounding', sentence: () => 'Rounded to what the control unit can store.' },
};

/** What a cell shows where the whole correction is made. */
export const WHOLE = { letter: '=', word: 'in full' } as const;

/** The first reason speaks for the cell. */
export function mainReason({ reasons }: NodeProposal): { readonly letter: string; readonly word: string } {
  const [first] = reasons;
  return first === undefined ? WHOLE : REASON_WORDS[first];
}

export function correctionPercent({ correctionLn }: NodeProposal): number {
  return 100 * Math.expm1(correctionLn);
}

export function changePercent({ presentValue, proposedValue }: NodeProposal): number {
  return presentValue === 0 ? 0 : 100 * (proposedValue / presentValue - 1);
}

/** Standard deviation as per cent of the value; null where nobody drove. */
export function sdPercent({ sdLn }: NodeProposal): number | null {
  return sdLn === null ? null : 100 * sdLn;
}

/** Both ends in which the correction lies with 95 %, in per cent. */
export function correctionRange({ correctionLn, sdLn }: NodeProposal): readonly [number, number] | null {
  if (sdLn === null) return null;
  return [100 * Math.expm1(correctionLn - 1.96 * sdLn), 100 * Math.expm1(correctionLn + 1.96 * sdLn)];
}

/** A ln as a signed per cent. */
export function lnChange(ln: number): string {
  return formatChange(100 * Math.expm1(ln), '%', 1);
}

export const GRADE_TITLES = { flare: 'Flare', tieUp: 'Tie-up', harsh: 'Harsh' } as const;

export const STATE_WORDS: Record<ProposalSummary['state'], string> = {
  waiting: 'Being made',
  ready: 'Ready',
  failed: 'Nothing could be proposed',
};

/** What is odd about a car, and what to look at. */
export function oddWords(odd: Oddity, subject: Pick<ProposalSubject, 'id'>): string {
  const what = subject.id.startsWith('fill:') ? 'fill time' : 'clutch torque';
  switch (odd.what) {
    case 'trim':
      return (
        `Needs ${lnChange(odd.trimLn)} ${what} against the other cars in all its shifts (± ${formatShare(odd.sdLn)}): ` +
        'wear, low fluid or a wrong profile are usual causes.'
      );
    case 'kindTrim':
      return (
        `Needs ${lnChange(odd.trimLn)} ${what} in ${odd.shiftKind} (± ${formatShare(odd.sdLn)}), unlike the other cars ` +
        'there: look at the clutch that comes on in it.'
      );
    case 'responseScale':
      return (
        `Its shifts answer ${formatNumber(odd.scale, 2)} times as strongly as those of the others ` +
        `(± ${formatNumber(odd.standardError, 2)}): torque or inertia of its profile is probably wrong.`
      );
    default:
      return odd satisfies never;
  }
}
