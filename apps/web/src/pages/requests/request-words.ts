import type { CoverageGap, DriveRequest, GainReason, GapCar, GapsResponse } from '@syncline/contract';
import { timesWords } from '../../format/gear-words.js';
import { counted, formatCount } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { sentence } from '../../format/words.js';

/** Names a point within an address. */
export function pointKey({
  kind,
  load,
  fluidTemperature,
}: Pick<CoverageGap, 'kind' | 'load' | 'fluidTemperature'>): string {
  return `${kind}.${load.index}.${fluidTemperature.index}`;
}

/** What one car is asked for: “Third to fourth at about half load with warm fluid, six times”. */
export function askWords({ words, shiftsPerCar }: Pick<DriveRequest, 'words' | 'shiftsPerCar'>): string {
  return sentence(`${words}, ${timesWords(shiftsPerCar)}`);
}

/** The point in figures: “load 45–60 %, fluid 50–80 °C, program calm”. */
export function pointFigures(point: Pick<DriveRequest, 'load' | 'fluidTemperature' | 'program'>): string {
  const program = point.program === null ? '' : `, program ${point.program}`;
  return `load ${point.load.label}, fluid ${point.fluidTemperature.label}${program}`;
}

/** “7 of 12 shifts, 1 of 2 cars”. */
export function progressWords({ progress, wantedShifts, wantedVehicles }: DriveRequest): string {
  const shifts = `${formatCount(progress.shifts)} of ${counted(wantedShifts, 'shift')}`;
  return `${shifts}, ${formatCount(progress.vehicles)} of ${counted(wantedVehicles, 'car')}`;
}

/** Why a drive at a point tells something, in one sentence each. */
export function reasonWords(
  reason: GainReason,
  { askShifts, rateBound }: Pick<GapsResponse, 'askShifts' | 'rateBound'>,
) {
  return [
    `${soFarWords(reason)}; its flare rate is known to within ${halfWidth(reason.widthNow)} either way.`,
    `After ${formatCount(askShifts)} shifts of a further car to within ${halfWidth(reason.widthAfter)}.`,
    `${aboutShare(reason.usageShare)} of the fleet’s shifts fall here; with a probability of ${formatShare(reason.probabilityAbove)} more than ${formatShare(rateBound)} of them flare.`,
  ];
}

/** Why, for the person who is asked. */
export function whyWords(reason: GainReason): string {
  const dialects =
    reason.missingDialects.length === 0 || reason.shifts === 0
      ? ''
      : `, none on the bus dialect ${listOf(reason.missingDialects)}`;
  return `${soFarWords(reason)}${dialects}. Until there is more, nobody can tell whether the map is right there.`;
}

function soFarWords({ shifts, vehicles }: GainReason): string {
  if (shifts === 0) return 'The fleet has not driven here yet';
  return `The fleet has ${counted(shifts, 'shift')} here, in ${counted(vehicles, 'car')}`;
}

/** A share that may be next to nothing, which is not nothing. */
function aboutShare(share: number): string {
  return share < 0.001 ? `Less than ${formatShare(0.001)}` : `About ${formatShare(share)}`;
}

/** Either side of the middle, as a share. */
function halfWidth(width: number): string {
  return formatShare(width / 2);
}

/** What a point lacks, in words. */
export function lackWords({ lacks, missingDialects }: CoverageGap): string {
  const words = { shifts: 'shifts', vehicles: 'cars', dialects: `dialect ${listOf(missingDialects)}` } as const;
  return listOf(lacks.map((lack) => words[lack]));
}

/** What speaks for a car, and what against it. */
export function carWords(car: GapCar): { readonly pro: readonly string[]; readonly contra: readonly string[] } {
  const pro = [
    ...(car.reach === 'there' ? ['its logs reach such driving'] : []),
    ...(car.reach === 'beside' ? ['its logs come close to such driving'] : []),
    ...(car.bringsDialect ? [`brings the dialect ${car.dialect ?? ''}`] : []),
    ...(car.ownShifts > 0 ? [`${counted(car.ownShifts, 'shift')} of its own here`] : []),
  ];
  const contra = [
    ...(car.runs === 'mayNot' ? ['its bus dialect is not cleared'] : []),
    ...(car.runs === 'mayRun' ? ['would have to be given the revision'] : []),
    ...(car.isActive ? [] : ['not driven for sixty days']),
    ...(car.reach === 'no' ? ['no such driving in its logs'] : []),
    ...(car.openRequests > 0 ? [`has ${counted(car.openRequests, 'open request')}`] : []),
  ];
  return { pro, contra };
}

/** “a”, “a and b”, “a, b and c”. */
export function listOf(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
