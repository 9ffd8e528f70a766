import type {
  GateReason,
  PartLook,
  ReleaseAct,
  ReleaseEvent,
  ReleaseStage,
  ReleaseSummary,
  WatchVerdict,
} from '@syncline/contract';
import { counted, formatNumber } from '../../format/quantity.js';

export const EVENT_WORDS: Record<ReleaseEvent['kind'], string> = {
  draft: 'Drafted',
  start: 'Started',
  widen: 'Widened',
  hold: 'Held',
  resume: 'Resumed',
  complete: 'Completed',
  recall: 'Recalled',
  join: 'Joined the cohort',
  installed: 'Installed',
  failed: 'Could not be installed',
};

export const VERDICT_WORDS: Record<WatchVerdict, string> = {
  harm: 'Harm shown',
  doubtful: 'In doubt',
  safe: 'Shown to be safe',
  open: 'Nothing shown yet',
  insufficient: 'Too little to look at',
};

export const ACT_WORDS: Record<ReleaseAct, { button: string; title: string; label: string }> = {
  start: { button: 'Start', title: 'Start this release', label: 'Note (optional)' },
  widen: { button: 'Widen', title: 'Go on to the next stage', label: 'Note (optional)' },
  hold: { button: 'Hold', title: 'Hold this release', label: 'Why it is held' },
  resume: { button: 'Resume', title: 'Resume this release', label: 'Why it may go on' },
  recall: { button: 'Recall', title: 'Recall this release', label: 'Why it is recalled' },
};

/** What a person should know before the act, beside its reason. */
export const ACT_EFFECTS: Record<ReleaseAct, string> = {
  start: 'The cars of the first stage are offered the revision, and their people are told.',
  widen: 'More cars are offered the revision, and their people are told. A car that was taken in stays in.',
  hold: 'Nobody can download it until it is resumed. Cars that have it keep it; their people are told to take care.',
  resume: 'It can be downloaded again by every car that was taken in.',
  recall: 'For good. Everyone who was offered it is told why, and who has it what to go back to.',
};

export function stageSizeWords({ size }: Pick<ReleaseStage, 'size'>): string {
  return size.kind === 'cars' ? counted(size.cars, 'car') : `${formatNumber(size.share * 100, 0)} %`;
}

/** How far a release spread: by the word of the cars' people, and by what their drives say. */
export function spreadWords({ taken, installed, driven }: Pick<ReleaseSummary, 'taken' | 'installed' | 'driven'>) {
  return `offered to ${counted(taken, 'car')}, confirmed as installed by ${installed}, seen in drives of ${driven}`;
}

/** A share of shifts as percentage points with its sign. */
export function points(share: number | null): string {
  if (share === null) return '–';
  const text = formatNumber(share * 100, 1);
  return share > 0 && text !== '0.0' ? `+${text}` : text;
}

export function partName({ measure, loadBand }: Pick<PartLook, 'measure' | 'loadBand'>, loadBands: readonly string[]) {
  const name = measure === 'flare' ? 'Flare' : 'Harsh';
  return loadBand === null ? `${name}, all driving` : `${name}, load ${loadBands[loadBand] ?? loadBand}`;
}

export const GATE_WORDS: Record<GateReason['code'], string> = {
  otherPlatform: 'other gearbox',
  otherLayout: 'other layout version',
  layoutUnknown: 'layout version not known',
  dialectNotCleared: 'bus dialect not verified',
  otherHardware: 'other control unit',
  hardwareUnknown: 'control unit not known',
  notApproved: 'not approved',
  notOffered: 'not offered yet',
  held: 'held',
  recalled: 'recalled',
};

export const FORMAT_WORDS = {
  document: 'Document, JSON',
  csv: 'Tables, CSV',
  tsv: 'Tables, TSV',
  intelHex: 'Memory image, Intel HEX',
  sRecord: 'Memory image, S-record',
  binary: 'Memory image, binary',
} as const;
