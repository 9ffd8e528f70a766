import type { Rate } from '@syncline/contract';
import type {
  Page,
  PageRequest,
  SignalMapDocument,
  Store,
  VehicleDetail,
  VehicleProfile,
  VehicleSummary,
} from '@syncline/store';
import { analysisJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';
import { assertSignalMap } from './check-signal-map.js';
import { carRate, fleetRate, groupBy, sumByVehicle } from './rates.js';

/** How one kind of shift goes in this car, beside the whole fleet. */
export interface KindOutcome {
  readonly kind: string;
  readonly flare: Rate;
  readonly tieUp: Rate;
  readonly harsh: Rate;
  readonly fleetFlare: Rate;
}

export type VehicleService = ReturnType<typeof createVehicleService>;

/** Cars: what is declared of them, what was observed, what they run. */
export function createVehicleService(store: Store, clock: () => number, nudgeJobs: () => void) {
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
      const { platformId } = get(actor, vehicleId);
      assertDialectKnown(platformId, profile.declaredDialect ?? null);
      vehicles.update({ actor, vehicleId, profile });
      return get(actor, vehicleId);
    },

    /** A label alone is no proof: until the dialect is confirmed only a maintainer may say that a car runs something. */
    install(actor: Actor, vehicleId: string, revisionId: string, sinceAtMs = clock()): VehicleDetail {
      const vehicle = get(actor, vehicleId);
      if (vehicle.dialectVerdict !== 'confirmed' && actor.role !== 'maintainer') {
        throw problem('vehicle.dialectUnverified', {
          detail: `The verdict on its dialect is '${vehicle.dialectVerdict}'.`,
        });
      }
      vehicles.install({ actor, vehicleId, revisionId, sinceAtMs });
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
      const { platformId } = get(actor, vehicleId);
      assertDialectKnown(platformId, observation.dialect);
      vehicles.observe({ actor, vehicleId, ...observation });
      return get(actor, vehicleId);
    },

    getSignalMap(actor: Actor, vehicleId: string) {
      const found = read.vehicles.findSignalMap(scopeOf(actor), vehicleId);
      if (!found) throw notFound('vehicle');
      return found;
    },

    /** Logs of the car that waited for a map, or could not be read or graded with the old one, are queued again. */
    setSignalMap(actor: Actor, vehicleId: string, map: SignalMapDocument): void {
      const vehicle = get(actor, vehicleId);
      assertSignalMap(map, vehicle);
      vehicles.setSignalMap({
        actor,
        vehicleId,
        map,
        jobFor: (logId) => analysisJob(logId, vehicle.ownerId),
      });
      nudgeJobs();
    },

    outcomeByShift(vehicle: VehicleDetail): KindOutcome[] {
      const { platformId, id: vehicleId } = vehicle;
      const fleet = groupBy(read.fleet.byKind({ platformId }), (row) => row.kind);
      return read.fleet.byKind({ platformId, vehicleId }).map((counts) => ({
        kind: counts.kind,
        flare: carRate(counts, 'flare'),
        tieUp: carRate(counts, 'tieUp'),
        harsh: carRate(counts, 'harsh'),
        fleetFlare: fleetRate(sumByVehicle(fleet.get(counts.kind) ?? []), 'flare'),
      }));
    },
  };

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
