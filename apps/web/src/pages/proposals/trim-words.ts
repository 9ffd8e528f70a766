import type { KindTrim, VehicleTrimsResponse } from '@syncline/contract';

export type CarTrims = VehicleTrimsResponse['items'][number];

/** A trim below this helps nobody (ln): about what one shift differs from the next. */
const LEAST_TRIM = 0.03;
/** And it has to be told from nothing. */
const LEAST_SIGNAL = 2;

export type Warrant = 'warranted' | 'unclear' | 'not needed';

/**
 * Whether a trim is warranted, common practice put into words: larger than 3 % and than twice its own standard
 * deviation. One that could be that large but is not told yet is unclear.
 */
export function warrantOf({ trimLn, sdLn }: Pick<KindTrim, 'trimLn' | 'sdLn'>): Warrant {
  if (Math.abs(trimLn) >= LEAST_TRIM && Math.abs(trimLn) >= LEAST_SIGNAL * sdLn) return 'warranted';
  return Math.abs(trimLn) + LEAST_SIGNAL * sdLn < LEAST_TRIM ? 'not needed' : 'unclear';
}

/** What the car's trims are worth saying in a sentence. */
export function summaryOf({ byKind }: CarTrims): string {
  const kinds = byKind.filter((own) => warrantOf(own) === 'warranted').map(({ shiftKind }) => shiftKind);
  if (kinds.length === 0)
    return 'No trim is warranted: the map fits this car as well as the others, as far as its shifts tell.';
  return `A trim is warranted in ${kinds.join(', ')}.`;
}
