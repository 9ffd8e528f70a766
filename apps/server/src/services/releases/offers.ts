import type { EXPORT_FORMATS, GateReason } from '@syncline/contract';
import type { ReleasableCar, Release, ReleaseCar, RevisionRef, Store, UnitRecall } from '@syncline/store';
import { notFound, problem } from '../../problem-error.js';
import { type Actor, scopeOf } from '../actor.js';
import type { CalibrationService } from '../calibrations.js';
import { blockingFinding } from '../findings.js';
import type { SigningService } from '../signing.js';
import type { ExportedFile, TransferService } from '../transfer.js';
import { type CarRuns, carRuns } from './car-runs.js';
import { revisionLabel } from './car-words.js';
import { gate } from './gate.js';
import type { ReleaseService } from './releases.js';

export interface OfferTarget {
  readonly revision: RevisionRef;
  readonly contentHash: string;
  readonly layoutVersion: number;
  readonly signature: string;
  readonly keyId: string;
  readonly formats: readonly (typeof EXPORT_FORMATS)[number][];
}

/** What is offered to a car now. See the contract for the kinds. */
export interface Offer {
  readonly car: ReleasableCar;
  readonly kind: 'none' | 'install' | 'current' | 'held' | 'goBack';
  readonly release: (Release & { readonly car: ReleaseCar; readonly reason: string }) | null;
  readonly target: OfferTarget | null;
  readonly reasons: readonly GateReason[];
  readonly runs: CarRuns;
  readonly unitRecalls: readonly UnitRecall[];
}

/** A file for a car, with what vouches for its bytes. */
export interface OfferedFile extends ExportedFile {
  readonly contentHash: string;
  /** Over the bytes of the file, base64. */
  readonly signature: string;
  readonly keyId: string;
}

type ReleaseOfCar = Release & { readonly car: ReleaseCar };

const TEXT_FORMATS = ['document', 'csv', 'tsv'] as const;
const IMAGE_FORMATS = ['intelHex', 'sRecord', 'binary'] as const;

export type OfferService = ReturnType<typeof createOfferService>;

/** What each car is offered, and the only way that content leaves for a tester. */
export function createOfferService(
  store: Store,
  options: {
    readonly releases: ReleaseService;
    readonly calibrations: CalibrationService;
    readonly transfer: TransferService;
    readonly signing: SigningService;
    readonly clock: () => number;
  },
) {
  const { read } = store;
  const { releases, calibrations, transfer, signing, clock } = options;

  function getCar(actor: Actor, vehicleId: string): ReleasableCar {
    const [car] = read.releases.releasableCars({ vehicleId });
    const { ownerId } = scopeOf(actor);
    if (!car || (ownerId !== undefined && car.ownerId !== ownerId)) throw notFound('vehicle');
    return car;
  }

  const isRecalled = (contentHash: string) => read.releases.findNewestOfContent(contentHash)?.state === 'recalled';

  function targetOf(revision: RevisionRef): OfferTarget {
    const { layout } = calibrations.open(revision.id);
    const { signature, keyId, contentHash } = signing.signRevision(revision.id);
    const formats = layout.image === undefined ? TEXT_FORMATS : [...TEXT_FORMATS, ...IMAGE_FORMATS];
    return { revision, contentHash, layoutVersion: layout.version, signature, keyId, formats };
  }

  function reasonsFor(
    car: ReleasableCar,
    release: ReleaseOfCar,
    target: OfferTarget,
    { isGoingBack, reason }: { readonly isGoingBack: boolean; readonly reason: string },
  ): GateReason[] {
    const revision = releases.gated(target.revision.id);
    const offer = isGoingBack
      ? ({ kind: 'goBack', isRecalled: isRecalled(target.contentHash) } as const)
      : ({
          kind: 'release',
          state: release.state,
          isTakenIn: true,
          hardware: release.cohort.hardware,
          reason,
        } as const);
    return gate(car, revision, offer, releases.layoutVersions(revision.platformId));
  }

  /** The newest release that says something to the car: a recalled one only while the car runs what was recalled. */
  function releaseFor(runs: CarRuns, ofCar: readonly ReleaseOfCar[]): ReleaseOfCar | undefined {
    return ofCar.find((release) => release.state !== 'recalled' || runs.contentHash === release.contentHash);
  }

  function offerTo(car: ReleasableCar): Offer {
    const runs = carRuns(car);
    const unitRecalls = recallsOf(car);
    const release = releaseFor(runs, read.releases.ofVehicle(car.vehicleId));
    if (!release) return { car, kind: 'none', release: null, target: null, reasons: [], runs, unitRecalls };
    const reason = releases.stateReason(release);
    const isGoingBack = release.state === 'recalled';
    const revision = isGoingBack ? release.replaces : release.revision;
    const target = revision && targetOf(revision);
    const runsIt = runs.contentHash === release.contentHash;
    return {
      car,
      kind: isGoingBack ? 'goBack' : release.state === 'held' ? 'held' : runsIt ? 'current' : 'install',
      release: { ...release, reason },
      target,
      reasons: target ? reasonsFor(car, release, target, { isGoingBack, reason }) : [],
      runs,
      unitRecalls,
    };
  }

  function recallsOf({ unit }: ReleasableCar): UnitRecall[] {
    if (unit === null) return [];
    const fits = (asked: string | null, is: string) => asked === null || asked === is;
    return read.controlUnits
      .recalls()
      .filter(({ hardware, firmware }) => fits(hardware, unit.hardware) && fits(firmware, unit.firmware));
  }

  function get(actor: Actor, vehicleId: string): Offer {
    const car = getCar(actor, vehicleId);
    releases.settle();
    return offerTo(car);
  }

  return {
    get,

    /** The file for a car, recorded. Refused with every reason against it. */
    download(actor: Actor, vehicleId: string, format: (typeof EXPORT_FORMATS)[number]): OfferedFile {
      const { car, release, target, reasons } = get(actor, vehicleId);
      if (release === null || target === null) throw refusal(car, [nothingOffered(car, release)]);
      if (reasons.length > 0) throw refusal(car, reasons);
      const file = transfer.exportRevision(target.revision.id, { format });
      const { contentHash } = target;
      store.releases.recordDownload({
        actor,
        releaseId: release.id,
        revisionId: target.revision.id,
        vehicleId,
        contentHash,
        fileSha256: file.sha256,
        format,
      });
      return { ...file, contentHash, ...signing.signBytes(file.bytes) };
    },

    /** What the person of a car did with the offer. What was installed is entered with the car. */
    answer(
      actor: Actor,
      vehicleId: string,
      input: {
        readonly answer: 'installed' | 'failed';
        readonly contentHash: string;
        readonly note: string;
        readonly atMs?: number;
      },
    ): Offer {
      const { car, release, target, kind } = get(actor, vehicleId);
      if (release === null || target === null) throw refusal(car, [nothingOffered(car, release)]);
      if (input.contentHash !== target.contentHash) {
        throw problem('offer.otherContent', {
          detail: `Offered is ${revisionLabel(target.revision)}, ${target.contentHash}; the answer names ${input.contentHash}.`,
        });
      }
      const note = [kind === 'goBack' ? `went back to ${revisionLabel(target.revision)}` : '', input.note];
      store.transaction(() => {
        store.releases.answer({
          actor,
          releaseId: release.id,
          vehicleId,
          answer: input.answer,
          note: note.filter(Boolean).join('; '),
        });
        if (input.answer === 'failed' || car.installed?.contentHash === target.contentHash) return;
        const sinceAtMs = input.atMs ?? clock();
        store.vehicles.install({ actor, vehicleId, revisionId: target.revision.id, sinceAtMs });
      });
      return get(actor, vehicleId);
    },
  };
}

function nothingOffered(car: ReleasableCar, release: Release | null): GateReason {
  return {
    code: 'notOffered',
    message:
      release === null
        ? `No revision is released to ${car.title}.`
        : `${revisionLabel(release.revision)} was recalled and replaced nothing: there is nothing to go back to.`,
  };
}

function refusal(car: ReleasableCar, reasons: readonly GateReason[]) {
  return problem('offer.refused', {
    detail: `${car.title}: ${reasons.map(({ message }) => message).join(' ')}`,
    findings: reasons.map(({ code, message }) => blockingFinding(code, car.title, message)),
  });
}
