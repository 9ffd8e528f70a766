import { setImmediate as nextTick } from 'node:timers/promises';
import type { createReleaseRequest, ReleaseAct } from '@syncline/contract';
import {
  carsOfStage,
  placeInRollout,
  type RolloutStage,
  stageFaults,
  stageSize,
  type WatchedRow,
  watchRollout,
} from '@syncline/fleet';
import type {
  ListedRelease,
  Page,
  PageRequest,
  Release,
  ReleaseCohort,
  ReleaseLook,
  ReleaseState,
  Store,
  Actor as StoreActor,
} from '@syncline/store';
import type { z } from 'zod';
import { watchJob } from '../../jobs/watch-release.js';
import { notFound, problem } from '../../problem-error.js';
import type { Actor } from '../actor.js';
import type { CalibrationService } from '../calibrations.js';
import type { PlatformService } from '../platforms.js';
import { ACTS_WITH_REASON, planAct, type ReleaseStanding } from './acts.js';
import { revisionLabel } from './car-words.js';
import { type CohortCar, cohortCars, cohortReasons, isAskedFor } from './cohort.js';
import type { GatedRevision } from './gate.js';
import { figureWords, LOAD_BAND_WORDS, toStoredPart } from './look-words.js';
import type { ReleaseTeller } from './tell.js';

/** Takes in cars that join, and holds what does harm, when no one asks for it. */
const SERVER: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'watch releases' };

const SHOWN_LOOKS = 400;
/** What is installed from a later instant on changes cohorts without a write (ms). */
const SETTLED_MS = 60_000;
const WHOLE: RolloutStage = { size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 };

export type ReleaseService = ReturnType<typeof createReleaseService>;

/** Releases: approved content on its way to the cars it is for, in stages, watched by the drives that come in. */
export function createReleaseService(
  store: Store,
  options: {
    readonly calibrations: CalibrationService;
    readonly platforms: PlatformService;
    readonly teller: ReleaseTeller;
    readonly nudgeJobs: () => void;
    readonly clock: () => number;
  },
) {
  const { read, releases } = store;
  const { calibrations, platforms, teller, clock } = options;

  function get(releaseId: string): Release {
    const release = read.releases.find(releaseId);
    if (!release) throw notFound('release');
    return release;
  }

  /** Why it is held or was recalled, as the people of its cars read it; empty in any other state. */
  function stateReason({ id, state }: Release): string {
    if (state !== 'held' && state !== 'recalled') return '';
    const kind = state === 'held' ? 'hold' : 'recall';
    return read.releases.events(id).findLast((event) => event.kind === kind)?.reason ?? '';
  }

  /** The revision as the gate takes it. Approval is of exactly this content. */
  function gated(revisionId: string): GatedRevision & { readonly contentHash: string } {
    const summary = calibrations.getSummary(revisionId);
    const { platformId, layoutVersion, contentHash, reviewState } = summary;
    return {
      label: revisionLabel(summary),
      platformId,
      layoutVersion,
      contentHash,
      isApproved: reviewState === 'approved',
    };
  }

  const layoutVersions = (platformId: string): number[] =>
    platforms.get(platformId).layouts.map(({ version }) => version);

  /** The cohort as it is now. */
  function cohortOf(release: Release): CohortCar[] {
    return cohortCars(
      read.releases.releasableCars({ platformId: release.platformId }),
      release,
      gated(release.revision.id),
      layoutVersions(release.platformId),
    );
  }

  /**
   * Takes in and tells the cars that the present stage newly holds. Cars that joined the cohort since have an event of
   * their own. Part of a larger transaction.
   */
  function takeIn(release: Release, why: 'moved' | 'joined'): void {
    const taken = new Set(read.releases.cars(release.id).map(({ vehicleId }) => vehicleId));
    const members = carsOfStage(release.stages[release.stage], cohortOf(release), taken);
    const fresh = members.filter(({ vehicleId }) => !taken.has(vehicleId)).map(({ car }) => car);
    if (fresh.length === 0) return;
    releases.takeIn({
      actor: SERVER,
      releaseId: release.id,
      stage: release.stage,
      vehicleIds: fresh.map(({ vehicleId }) => vehicleId),
      joined: why === 'joined' ? fresh.map(({ title }) => title).join(', ') : null,
    });
    teller.tellCars('offered', release, fresh);
  }

  let settled = { version: '', untilMs: Number.NEGATIVE_INFINITY };

  /**
   * Takes in cars that joined the cohorts of what goes on by itself. Safe to repeat, and does nothing while nothing has
   * changed: it reads every car, and each look of a tester at her car asks for it.
   */
  function settle(): void {
    const nowMs = clock();
    if (read.releases.cohortVersion() === settled.version && nowMs < settled.untilMs) return;
    for (const release of read.releases.listWatched()) store.transaction(() => takeIn(release, 'joined'));
    settled = { version: read.releases.cohortVersion(), untilMs: nowMs + SETTLED_MS };
  }

  function standing(release: Release): ReleaseStanding {
    return {
      release,
      isApproved: gated(release.revision.id).isApproved,
      evidence: read.releases.evidence(release.id),
      lastLook: read.releases.findLastLook(release.id),
    };
  }

  /** Moves a release, takes in the cars of the new stage and tells everybody, all at once. */
  function move(actor: StoreActor, release: Release, act: ReleaseAct, reason: string): void {
    const plan = planAct(act, standing(release));
    if ('code' in plan) throw problem(plan.code, { detail: plan.detail });
    store.transaction(() => {
      const from = { state: release.state, stage: release.stage };
      releases.move({ actor, releaseId: release.id, kind: plan.kind, from, to: plan.to, reason });
      const after = get(release.id);
      if (after.state === 'running' || after.state === 'complete') takeIn(after, 'moved');
      if (act === 'hold' || act === 'resume' || act === 'recall') teller.tellCars(act, after, takenCars(after), reason);
      teller.tellHooks(plan.kind, after, reason);
    });
  }

  function takenCars(release: Release) {
    const taken = new Set(read.releases.cars(release.id).map(({ vehicleId }) => vehicleId));
    return read.releases
      .releasableCars({ platformId: release.platformId })
      .filter(({ vehicleId }) => taken.has(vehicleId));
  }

  /** What was driven by the cars that have it, under it and under what it replaces. Leaves room for requests. */
  async function watchedRows(release: Release, signal: AbortSignal | undefined): Promise<WatchedRow[]> {
    const rows: WatchedRow[] = [];
    const [newerId, olderId] = [release.revision.id, release.replaces?.id ?? ''];
    for (const vehicleId of read.releases.vehiclesUnder(newerId)) {
      signal?.throwIfAborted();
      rows.push(...read.releases.watchedRows({ vehicleId, newerId, olderId }));
      await nextTick();
    }
    return rows;
  }

  return {
    get,
    gated,
    layoutVersions,
    settle,
    stateReason,
    cohortOf,

    list(
      filter: { readonly platformId?: string; readonly state?: ReleaseState },
      page: PageRequest,
    ): Page<ListedRelease> {
      return read.releases.list(filter, page);
    },

    looks: (releaseId: string): { readonly release: Release; readonly looks: readonly ReleaseLook[] } => ({
      release: get(releaseId),
      looks: read.releases.looks(releaseId, SHOWN_LOOKS),
    }),

    /** Who would be in a cohort, and what its cars can be told apart by. */
    preview(revisionId: string, cohort: ReleaseCohort) {
      const revision = gated(revisionId);
      const versions = layoutVersions(revision.platformId);
      const cars = read.releases.releasableCars({ platformId: revision.platformId });
      const distinct = (values: (string | null | undefined)[]) =>
        [...new Set(values.filter((value): value is string => Boolean(value)))].sort((a, b) =>
          a.localeCompare(b, 'en'),
        );
      return {
        cars: cars.map((car) => {
          const reasons = cohortReasons(car, cohort, revision, versions);
          return { car, reasons, isIn: reasons.length === 0 && isAskedFor(car, cohort) };
        }),
        choices: {
          dialects: distinct(cars.filter((car) => car.isDialectCleared).map(({ dialect }) => dialect)),
          engines: distinct(cars.map(({ engine }) => engine)),
          tags: distinct(cars.flatMap(({ tags }) => tags)),
          hardware: distinct(cars.map(({ unit }) => unit?.hardware)),
        },
      };
    },

    /** Cars of the cohort and cars that were taken in, by id, in the order of the release. */
    inOrder(
      release: Release,
      cohort: readonly CohortCar[],
      taken: readonly { readonly vehicleId: string }[],
    ): string[] {
      const ids = new Set([...cohort, ...taken].map(({ vehicleId }) => vehicleId));
      const placed = [...ids].map((vehicleId) => ({ vehicleId, place: placeInRollout(release.id, vehicleId) }));
      return carsOfStage(WHOLE, placed, new Set()).map(({ vehicleId }) => vehicleId);
    },

    /** Everything of a release that its page shows. */
    detail(releaseId: string) {
      const release = get(releaseId);
      if (release.state === 'running' || release.state === 'complete') {
        store.transaction(() => takeIn(release, 'joined'));
      }
      const cohort = cohortOf(release);
      const now = standing(release);
      return {
        release,
        stateReason: stateReason(release),
        cohort,
        cars: read.releases.releasableCars({ platformId: release.platformId }),
        taken: read.releases.cars(releaseId),
        stageCars: release.stages.map((stage) => stageSize(stage, cohort.length)),
        standing: now,
        hindrance: (act: ReleaseAct): string | null => {
          const plan = planAct(act, now);
          return 'code' in plan ? plan.detail : null;
        },
        events: read.releases.events(releaseId),
        downloads: read.releases.downloads({ releaseId }, 200),
        notices: read.notices.list({ about: `release:${releaseId}`, limit: 2000 }),
      };
    },

    /** A draft points at approved content and is offered to no one yet. */
    draft(actor: Actor, input: z.output<typeof createReleaseRequest>): string {
      const revision = gated(input.revisionId);
      if (!revision.isApproved) {
        throw problem('release.notApproved', {
          detail: `${revision.label} (${revision.contentHash}) is not approved.`,
        });
      }
      if (input.replacesId === input.revisionId) {
        throw problem('release.stages', { detail: 'A revision cannot replace itself.' });
      }
      const faults = stageFaults(input.stages);
      if (faults.length > 0) throw problem('release.stages', { detail: faults.join(' ') });
      return releases.draft({ actor, ...input });
    },

    act(actor: Actor, releaseId: string, act: ReleaseAct, reason: string): void {
      if (reason === '' && ACTS_WITH_REASON.includes(act)) throw problem('release.reasonMissing');
      move(actor, get(releaseId), act, reason);
      // What was driven under it before may tell something already.
      store.jobs.enqueue(watchJob(releaseId));
      options.nudgeJobs();
    },

    /**
     * Looks at what came in, keeps the look when it tells something new, and holds the release when harm is shown. Safe to
     * repeat.
     */
    async watch(releaseId: string, signal?: AbortSignal): Promise<void> {
      const release = read.releases.find(releaseId);
      if (!release || (release.state !== 'running' && release.state !== 'complete')) return;
      const rows = await watchedRows(release, signal);
      const watch = watchRollout(rows, { harmLimit: release.harmLimit, loadBands: LOAD_BAND_WORDS.length });
      const parts = watch.parts.map(toStoredPart);
      const shifts = rows.reduce((sum, row) => (row.revision === 'newer' ? sum + row.outcomes.flare.shifts : sum), 0);
      const last = read.releases.findLastLook(releaseId);
      if (last && JSON.stringify(last.parts) === JSON.stringify(parts)) return;
      store.transaction(() => {
        releases.keepLook({ releaseId, shifts, verdict: watch.verdict, parts });
        const now = get(releaseId);
        if (watch.verdict !== 'harm' || (now.state !== 'running' && now.state !== 'complete')) return;
        const harm = parts.filter(({ kind }) => kind === 'harm').map(figureWords);
        move(SERVER, now, 'hold', `The monitor holds it. Raised: ${harm.join('; ')}.`);
      });
    },
  };
}
