import type * as Contract from '@syncline/contract';
import { RELEASE_ACTS } from '@syncline/contract';
import type { Download, ListedRelease, ReleaseLook } from '@syncline/store';
import type { CarRuns } from '../../services/releases/car-runs.js';
import { carRuns } from '../../services/releases/car-runs.js';
import { gate } from '../../services/releases/gate.js';
import { LOAD_BAND_WORDS } from '../../services/releases/look-words.js';
import type { Offer } from '../../services/releases/offers.js';
import type { ReleaseService } from '../../services/releases/releases.js';
import { toInstant, toInstantOrNull, toRevisionLabel } from '../format.js';

export function toReleaseSummary(release: ListedRelease): Contract.ReleaseSummary {
  const { revision, replaces, stages, createdAtMs } = release;
  return {
    id: release.id,
    platformId: release.platformId,
    platformTitle: release.platformTitle,
    revisionId: revision.id,
    revisionLabel: toRevisionLabel(revision),
    contentHash: release.contentHash,
    replacesId: replaces?.id ?? null,
    replacesLabel: replaces && toRevisionLabel(replaces),
    words: release.words,
    state: release.state,
    stage: release.stage,
    stageCount: stages.length,
    taken: release.taken,
    installed: release.installed,
    driven: release.driven,
    stateReason: release.stateReason,
    createdByName: release.createdByName,
    createdAt: toInstant(createdAtMs),
  };
}

type Detail = ReturnType<ReleaseService['detail']>;

export function toReleaseResponse(detail: Detail, releases: ReleaseService): Contract.ReleaseResponse {
  const { release, cohort, taken, stageCars, standing, hindrance, events, downloads } = detail;
  return {
    ...toReleaseSummary({
      ...release,
      taken: taken.length,
      installed: taken.filter(({ answer }) => answer === 'installed').length,
      driven: standing.evidence.vehicles,
      stateReason: detail.stateReason,
    }),
    layoutVersion: release.layoutVersion,
    cohort: {
      dialects: [...release.cohort.dialects],
      engines: [...release.cohort.engines],
      tags: [...release.cohort.tags],
      hardware: [...release.cohort.hardware],
    },
    harmLimit: release.harmLimit,
    stages: release.stages.map((stage, i) => ({ ...stage, size: { ...stage.size }, cars: stageCars[i] })),
    cohortCount: cohort.length,
    evidence: { ...standing.evidence },
    acts: RELEASE_ACTS.map((act) => ({ act, whyNot: hindrance(act) })),
    lastLook: standing.lastLook ? toLook(standing.lastLook as ReleaseLook) : null,
    cars: toCars(detail, releases),
    events: events.map(({ atMs, ...event }) => ({ ...event, at: toInstant(atMs) })),
    downloads: downloads.map(toDownload),
  };
}

/** Everyone of the cohort and everyone who was taken in, in the order of the release. */
function toCars({ release, cohort, cars, taken, downloads, notices }: Detail, releases: ReleaseService) {
  const takenBy = new Map(taken.map((car) => [car.vehicleId, car]));
  const inOrder = releases.inOrder(release, cohort, taken);
  const carOf = new Map(cars.map((car) => [car.vehicleId, car]));
  const revision = releases.gated(release.revision.id);
  const versions = releases.layoutVersions(release.platformId);
  return inOrder.flatMap((vehicleId, index): Contract.ReleaseCar[] => {
    const car = carOf.get(vehicleId);
    if (!car) return [];
    const taking = takenBy.get(vehicleId);
    const runs = carRuns(car);
    const mails = notices.filter(({ channel, recipient }) => channel === 'mail' && recipient === car.ownerEmail);
    return [
      {
        vehicleId,
        title: car.title,
        ownerName: car.ownerName,
        position: index + 1,
        stage: taking?.stage ?? null,
        takenAt: toInstantOrNull(taking?.takenAtMs ?? null),
        // Newest first.
        mail: mails[0]?.state ?? 'none',
        downloads: downloads.filter((download) => download.vehicleId === vehicleId).length,
        answer: taking?.answer ?? 'none',
        answerNote: taking?.answerNote ?? '',
        answeredAt: toInstantOrNull(taking?.answeredAtMs ?? null),
        runs: toRuns(runs),
        runsIt: runs.contentHash === release.contentHash,
        reasons: gate(
          car,
          revision,
          {
            kind: 'release',
            state: release.state,
            isTakenIn: taking !== undefined,
            hardware: release.cohort.hardware,
            reason: '',
          },
          versions,
        ),
      },
    ];
  });
}

export function toRuns({ sinceAtMs, ...runs }: CarRuns): Contract.CarRuns {
  return { ...runs, since: toInstantOrNull(sinceAtMs) };
}

function toDownload({ revision, atMs, ...download }: Download): Contract.ReleaseDownload {
  const { id, vehicleId, vehicleTitle, personName, contentHash, fileSha256, format } = download;
  return {
    id,
    revisionLabel: toRevisionLabel(revision),
    vehicleId,
    vehicleTitle,
    personName,
    contentHash,
    fileSha256,
    format,
    at: toInstant(atMs),
  };
}

export function toLook({ atMs, shifts, verdict, parts }: Omit<ReleaseLook, 'id'>): Contract.ReleaseLook {
  return { at: toInstant(atMs), shifts, verdict, parts: parts.map((part) => ({ ...part })) };
}

export function toLooks({ release, looks }: ReturnType<ReleaseService['looks']>): Contract.ReleaseLooksResponse {
  return { items: looks.map(toLook), loadBands: [...LOAD_BAND_WORDS], harmLimit: release.harmLimit };
}

export function toCohort({ cars, choices }: ReturnType<ReleaseService['preview']>): Contract.CohortResponse {
  return {
    cars: cars.map(({ car, isIn, reasons }) => ({
      vehicleId: car.vehicleId,
      title: car.title,
      ownerName: car.ownerName,
      isIn,
      reasons,
    })),
    choices,
  };
}

export function toOffer({ car, kind, release, target, reasons, runs, unitRecalls }: Offer): Contract.OfferResponse {
  return {
    vehicleId: car.vehicleId,
    kind,
    release: release && {
      id: release.id,
      state: release.state,
      revisionId: release.revision.id,
      revisionLabel: toRevisionLabel(release.revision),
      contentHash: release.contentHash,
      words: release.words,
      reason: release.reason,
      answer: release.car.answer,
      answerNote: release.car.answerNote,
      answeredAt: toInstantOrNull(release.car.answeredAtMs),
    },
    target: target && {
      revisionId: target.revision.id,
      revisionLabel: toRevisionLabel(target.revision),
      contentHash: target.contentHash,
      layoutVersion: target.layoutVersion,
      signature: target.signature,
      keyId: target.keyId,
      formats: [...target.formats],
    },
    reasons: [...reasons],
    runs: toRuns(runs),
    unit: car.unit && {
      id: car.unit.id,
      serial: car.unit.serial,
      hardware: car.unit.hardware,
      firmware: car.unit.firmware,
    },
    unitRecalls: unitRecalls.map(({ id, words, atMs }) => ({ id, words, at: toInstant(atMs) })),
  };
}
