import type { Departure, ReportedShift, ShiftRow } from '@syncline/contract';
import { gearWord, kindWords } from '../../format/gear-words.js';
import { formatQuantity } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { DISTURBANCE_WORDS, sentence } from '../../format/words.js';

/** What a shift did, in sentences: for reading aloud as much as for looking at the picture beside it. */
export function shiftStory({ shift, isBeyond, departures }: ReportedShift): string {
  const told = departures.filter(({ measure }) => shift.grades.includes(measure));
  const parts = [
    ...(shift.grades.includes('incomplete') ? [incompleteWords(shift)] : []),
    ...told.map((departure) => departureWords(shift, departure)),
  ];
  const nearest = departures[0];
  if (!isBeyond) {
    const within = 'Within every limit of the grading policy.';
    return nearest === undefined ? within : `${within} Nearest to one: ${nearWords(nearest)}.`;
  }
  return parts.map((part) => `${sentence(part)}.`).join(' ');
}

/** Where and when, for a heading: “Third to fourth at 12:04”. */
export function shiftTitle(shift: ShiftRow): string {
  return `${sentence(kindWords(shift))} at ${formatElapsed(shift.commandS, 0)}`;
}

/** Under what it happened, as far as the log tells. */
export function conditionWords({ load, fluidTemperatureC, program, isPowerOn, disturbances }: ShiftRow): string {
  const parts = [
    load === null ? 'load not logged' : `load ${formatQuantity(load, '%', 0)}`,
    fluidTemperatureC === null ? 'fluid temperature not logged' : `fluid ${formatQuantity(fluidTemperatureC, '°C')}`,
    ...(program === null ? [] : [`program ${program}`]),
    isPowerOn ? 'power on' : 'power off',
  ];
  const disturbed = disturbances.map((word) => DISTURBANCE_WORDS[word] ?? word);
  const doubt = disturbed.length === 0 ? '' : ` Measured less surely: ${disturbed.join(', ')}.`;
  return `${sentence(parts.join(', '))}.${doubt}`;
}

function departureWords(shift: ShiftRow, { measure, unit, value, limit }: Departure): string {
  const [found, allowed] = [formatQuantity(value, unit), formatQuantity(limit, unit)];
  switch (measure) {
    case 'flare': {
      const line = `the line of ${gearWord(shift.direction === 'up' ? shift.from : shift.to)} gear`;
      const lasting = formatQuantity(shift.flareMs / 1000, 's');
      const end = shift.direction === 'up' ? ' before the new clutch held' : '';
      return `the input speed ran ${found} above ${line} for ${lasting}${end} (limit ${allowed})`;
    }
    case 'tie-up':
      return `two clutches held at once and held the car back by ${found} for a moment (limit ${allowed})`;
    case 'harsh':
      return `a jolt: the acceleration changed at up to ${found} (limit ${allowed} at this load)`;
    case 'slow':
      return `the change of speed took ${found} (limit ${allowed} at this load)`;
    case 'incomplete':
      return incompleteWords(shift);
    default:
      return measure satisfies never;
  }
}

function incompleteWords({ to, syncS }: ShiftRow): string {
  return `${gearWord(to)} gear was ${syncS === null ? 'never reached' : 'reached too late'}`;
}

function nearWords({ measure, unit, value, limit }: Departure): string {
  const names = {
    flare: 'the input speed above its line',
    'tie-up': 'the tie-up',
    harsh: 'the peak jerk',
    slow: 'the inertia time',
    incomplete: 'the time to the new gear',
  } as const;
  return `${names[measure]}, ${formatQuantity(value, unit)} (limit ${formatQuantity(limit, unit)})`;
}
