import type { ShiftDistributionResponse } from '@syncline/contract';
import { MEASURED } from '../../format/measured.js';
import { counted, formatCount, formatQuantity } from '../../format/quantity.js';

/** What the picture of a distribution says, in sentences. */
export function distributionWords(found: ShiftDistributionResponse): string {
  const { quantity, measuredCount, unmeasuredCount, everyNthDrive } = found;
  if (measuredCount === 0) return `No shift here has a ${MEASURED[quantity].title.toLowerCase()}.`;
  const without = unmeasuredCount > 0 ? `; in ${formatCount(unmeasuredCount)} more it could not be measured` : '';
  const thinned = everyNthDrive > 1 ? ` ${thinnedWords(everyNthDrive, 'These figures')}` : '';
  return `${counted(measuredCount, 'shift')}${without}. ${spreadWords(found)}${thinned}`;
}

/** Where nine in ten have one value, as with flares that are mostly 0, a range between equal ends would say nothing. */
function spreadWords({ quantity, p05, p50, p95, edges }: ShiftDistributionResponse): string {
  const { unit } = MEASURED[quantity];
  const write = (value: number | null | undefined) => formatQuantity(value, unit);
  if (p05 !== null && p05 === p95)
    return `At least nine in ten have ${write(p50)}; the highest is ${write(edges.at(-1))}.`;
  if (p05 !== null && p05 === p50)
    return `At least half have ${write(p50)}; one in twenty has more than ${write(p95)}.`;
  return `Half lie below ${write(p50)}, nine in ten between ${write(p05)} and ${write(p95)}.`;
}

/** Of very many shifts only those of every n-th drive are counted. Says so, “The counts below”. */
export function thinnedWords(everyNthDrive: number, what: string): string {
  return `${what} are taken from one drive in ${formatCount(everyNthDrive)}, times ${formatCount(everyNthDrive)}.`;
}
