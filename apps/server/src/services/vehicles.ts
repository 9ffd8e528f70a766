import type { Rate } from '@syncline/contract';
import type {
  CheckedCapture,
  LogFormat,
  Page,
  PageRequest,
  SavedSignalMap,
  SignalMapDocument,
  Store,
  VehicleDetail,
  VehicleProfile,
  VehicleSummary,
} from '@syncline/store';
import { analysisJob, backgroundAnalysisJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';
import { assertSignalMap } from './check-signal-map.js';
import { explainDialect } from './explain-dialect.js';
import { flareByKind } from './fleet-queries/flare-by-kind.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';
import { carRate, fleetRate } from './rates.js';

/** How one kind of shift goes in this car, beside the whole fleet. */
export interface KindOutcome {
  readonly kind: string;
  readonly flare: Rate;
  readonly tieUp: Rate;
  readonly harsh: Rate;
  readonly fleetFlare: Rate;
}

/** What is known of the bus dialect of a car. */
export interface VehicleDialect {
  readonly vehicle: VehicleDetail;
  /** Why the verdict is as it is, and what would clear it. */
  readonly reason: string;
  /** Newest upload first. */
  readonly checks: readonly CheckedCapture[];
}

interface VehicleServiceOptions {
  readonly clock: () => number;
  readonly nudgeJobs: () => void;
  readonly queries: FleetQueryPool;
}

/** Captures whose checks are shown with a car. */
const SHOWN_CHECKS = 50;

export type VehicleService = ReturnType<typeof createVehicleService>;

/** Cars: what is declared of them, what was observed, what they run. */
export function createVehicleService(store: Store, { clock, nudgeJobs, queries }: VehicleServiceOptions) {
  const { read, vehicles } = store;

  function get(actor: Actor, vehicleId: string): VehicleDetail {
    const detail = read.vehicles.find(scopeOf(actor), vehicleId);
    if (!detail) throw notFound('vehicle');
    return detail;
  }

  return {
    get,

    list: (actor: Actor, page: PageRequest): Page<VehicleSummary> => read.vehicles.list(scopeOf(actor), page),

    /** A tester enters a car for no one else. */
    create(
      actor: Actor,
      { ownerId = actor.id, ...profile }: VehicleProfile & { readonly ownerId?: string },
    ): VehicleDetail {
      if (ownerId !== actor.id && actor.role !== 'maintainer') {
        throw problem('session.forbidden', { detail: 'Only a maintainer may enter a car for someone else.' });
      }
      assertDialectKnown(profile.platformId, profile.declaredDialect);
      return get(actor, vehicles.create({ actor, ownerId, profile }));
    },

    update(actor: Actor, vehicleId: string, profile: Partial<Omit<VehicleProfile, 'platformId'>>): VehicleDetail {
      const before = get(actor, vehicleId);
      assertDialectKnown(before.platformId, profile.declaredDialect ?? null);
      return store.transaction(() => {
        const jobFor = (logId: string) => backgroundAnalysisJob(logId, before.ownerId);
        vehicles.update({ actor, vehicleId, profile, jobFor });
        nudgeJobs();
        return rereadIfOfOtherDialect(before, get(actor, vehicleId));
      });
    },

    /** A label alone is no proof: what is not confirmed runs nothing before a maintainer has decided with a reason. */
    install(actor: Actor, vehicleId: string, revisionId: string, sinceAtMs = clock()): VehicleDetail {
      const vehicle = get(actor, vehicleId);
      const revision = read.calibrations.findRevision(revisionId);
      if (!revision) throw notFound('revision');
      if (revision.platformId !== vehicle.platformId) throw problem('vehicle.platformMismatch');
      if (!vehicle.isDialectCleared) throw problem('vehicle.dialectUnverified', { detail: explainDialect(vehicle) });
      vehicles.install({ actor, vehicleId, revisionId, sinceAtMs });
      return get(actor, vehicleId);
    },

    /** Free words that cohorts of releases are chosen by. */
    setTags(actor: Actor, vehicleId: string, tags: readonly string[]): VehicleDetail {
      get(actor, vehicleId);
      vehicles.setTags({ actor, vehicleId, tags });
      return get(actor, vehicleId);
    },

    observe(
      actor: Actor,
      vehicleId: string,
      observation: {
        readonly dialect: string | null;
        readonly source: 'capture' | 'inspection';
        readonly note: string;
      },
    ): VehicleDetail {
      const before = get(actor, vehicleId);
      assertDialectKnown(before.platformId, observation.dialect);
      return store.transaction(() => {
        vehicles.observe({ actor, vehicleId, ...observation });
        return rereadIfOfOtherDialect(before, get(actor, vehicleId));
      });
    },

    /** What is known of the dialect of a car, with the checks of its newest captures. */
    getDialect(actor: Actor, vehicleId: string): VehicleDialect {
      const vehicle = get(actor, vehicleId);
      return {
        vehicle,
        reason: explainDialect(vehicle),
        checks: read.captures.ofVehicle(vehicleId, SHOWN_CHECKS),
      };
    },

    /** Whether a car may be offered revisions although its dialect is not confirmed. */
    decideDialect(
      actor: Actor,
      vehicleId: string,
      decision: { readonly decision: 'accept' | 'refuse'; readonly reason: string },
    ): VehicleDetail {
      get(actor, vehicleId);
      vehicles.decideDialect({ actor, vehicleId, ...decision });
      return get(actor, vehicleId);
    },

    listSignalMaps(actor: Actor, vehicleId: string): readonly SavedSignalMap[] {
      const found = read.vehicles.findSignalMaps(scopeOf(actor), vehicleId);
      if (!found) throw notFound('vehicle');
      return found;
    },

    /** Logs of the car that waited for a map, or could not be read or graded with the old one, are queued again. */
    setSignalMap(actor: Actor, vehicleId: string, format: LogFormat, map: SignalMapDocument): void {
      const vehicle = get(actor, vehicleId);
      assertSignalMap(map, vehicle);
      vehicles.setSignalMap({
        actor,
        vehicleId,
        format,
        map,
        jobFor: (logId) => analysisJob(logId, vehicle.ownerId),
      });
      nudgeJobs();
    },

    /** Asked of the thread, for who can wait for it: a write cannot, its answer is made in its transaction. */
    fleetFlares: ({ platformId }: VehicleDetail) => queries.ask('flareByKind', { platformId }),

    outcomeByShift(
      { platformId, id: vehicleId }: VehicleDetail,
      fleet: ReadonlyMap<string, Rate> = flareByKind(read, { platformId }),
    ): KindOutcome[] {
      return read.fleet.byKind({ platformId, vehicleId }).map((counts) => ({
        kind: counts.kind,
        flare: carRate(counts, 'flare'),
        tieUp: carRate(counts, 'tieUp'),
        harsh: carRate(counts, 'harsh'),
        fleetFlare: fleet.get(counts.kind) ?? fleetRate([], 'flare'),
      }));
    },
  };

  /** Captures that wait may be read once their car is taken for one of another dialect. */
  function rereadIfOfOtherDialect(before: VehicleDetail, after: VehicleDetail): VehicleDetail {
    if (dialectOf(before) === dialectOf(after)) return after;
    const jobFor = (logId: string) => analysisJob(logId, after.ownerId);
    store.captures.requeueWaiting({ vehicleId: after.id, jobFor });
    nudgeJobs();
    return after;
  }

  function assertDialectKnown(platformId: string, dialect: string | null): void {
    if (dialect === null) return;
    const known = read.platforms.find(platformId)?.platform.dialects.map((entry) => entry.id) ?? [];
    if (known.includes(dialect)) return;
    throw problem('request.invalid', {
      detail: `The platform knows no dialect '${dialect}'; it knows ${known.join(', ') || 'none'}.`,
      fields: [{ path: 'body.dialect', message: 'is not a dialect of the platform' }],
    });
  }
}

/** The dialect by which captures of a car are read. */
function dialectOf({ observedDialect, declaredDialect }: VehicleDetail): string | null {
  return observedDialect ?? declaredDialect;
}
