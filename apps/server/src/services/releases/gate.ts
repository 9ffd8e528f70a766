import type { GateReason } from '@syncline/contract';
import type { ReleasableCar, ReleaseState } from '@syncline/store';
import { type CarDialect, dialectWords } from './car-words.js';

/** What of a revision decides where it may go. */
export interface GatedRevision {
  readonly label: string;
  readonly platformId: string;
  readonly layoutVersion: number;
  readonly isApproved: boolean;
}

/** By what a car is to have a revision. */
export type GatedOffer =
  /** A release, which took the car in or did not. */
  | {
      readonly kind: 'release';
      readonly state: ReleaseState;
      readonly isTakenIn: boolean;
      /** Hardware revisions that it is restricted to; empty for any. */
      readonly hardware: readonly string[];
      readonly reason: string;
    }
  /** What a recalled release replaced: the car goes back to it. */
  | { readonly kind: 'goBack'; readonly isRecalled: boolean };

type GatedCar = Pick<ReleasableCar, 'title' | 'platformId' | 'installed' | 'stated' | 'unit' | 'isDialectCleared'> &
  CarDialect;

/** Layout versions that a platform has. */
export type LayoutVersions = readonly number[];

/**
 * Whether a revision may go into a car: every reason against it, none when it may. A part label alone is no proof, so
 * the dialect has to be cleared; the layout version is what the car's control unit is known to take.
 */
export function gate(
  car: GatedCar,
  revision: GatedRevision,
  offer: GatedOffer,
  layoutVersions: LayoutVersions,
): GateReason[] {
  return [...fitReasons(car, revision, layoutVersions), ...offerReasons(car, revision, offer)];
}

/** Why a revision does not fit a car, whoever offers it. */
export function fitReasons(car: GatedCar, revision: GatedRevision, layoutVersions: LayoutVersions): GateReason[] {
  if (car.platformId !== revision.platformId) {
    return [
      {
        code: 'otherPlatform',
        message: `${revision.label} is for the gearbox '${revision.platformId}', ${car.title} has '${car.platformId}'.`,
      },
    ];
  }
  const reasons: GateReason[] = [];
  const takes = layoutVersionOf(car, layoutVersions);
  if (takes === null) {
    reasons.push({
      code: 'layoutUnknown',
      message: `It is not known which layout version the control unit of ${car.title} takes. Enter the unit with its firmware, or what the car runs now.`,
    });
  } else if (takes !== revision.layoutVersion) {
    reasons.push({
      code: 'otherLayout',
      message: `${revision.label} has layout version ${revision.layoutVersion}; the control unit of ${car.title} takes version ${takes}.`,
    });
  }
  if (!car.isDialectCleared) reasons.push({ code: 'dialectNotCleared', message: dialectWords(car) });
  return reasons;
}

/** Why a control unit is not of the hardware that a release is restricted to. */
export function hardwareReasons(car: GatedCar, hardware: readonly string[]): GateReason[] {
  if (hardware.length === 0) return [];
  const wanted = hardware.join(' or ');
  if (car.unit === null) {
    return [
      {
        code: 'hardwareUnknown',
        message: `It is for control units of hardware ${wanted}; no unit is entered for ${car.title}.`,
      },
    ];
  }
  if (hardware.includes(car.unit.hardware)) return [];
  return [
    {
      code: 'otherHardware',
      message: `It is for control units of hardware ${wanted}; ${car.title} has ${car.unit.hardware} (${car.unit.serial}).`,
    },
  ];
}

function offerReasons(car: GatedCar, { label, isApproved }: GatedRevision, offer: GatedOffer): GateReason[] {
  if (offer.kind === 'goBack') {
    return offer.isRecalled
      ? [{ code: 'recalled', message: `${label} was recalled itself. Ask a maintainer what ${car.title} may run.` }]
      : [];
  }
  const reasons = hardwareReasons(car, offer.hardware);
  if (!isApproved) {
    reasons.push({ code: 'notApproved', message: `The content of ${label} is not approved, or no longer.` });
  }
  const because = offer.reason && `: ${offer.reason}`;
  if (offer.state === 'held') reasons.push({ code: 'held', message: `The release of ${label} is held${because}` });
  else if (offer.state === 'recalled') reasons.push({ code: 'recalled', message: `${label} was recalled${because}` });
  else if (offer.state === 'draft' || !offer.isTakenIn) {
    reasons.push({ code: 'notOffered', message: `${label} is not released to ${car.title}.` });
  }
  return reasons;
}

/** What the car's control unit takes: as entered for the unit, else the layout of what it runs, else the only one there is. */
function layoutVersionOf({ unit, installed }: GatedCar, layoutVersions: LayoutVersions): number | null {
  return unit?.layoutVersion ?? installed?.layoutVersion ?? (layoutVersions.length === 1 ? layoutVersions[0] : null);
}
