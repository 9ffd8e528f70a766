import {
  callForTesters,
  DEFAULT_EVIDENCE,
  DEFAULT_FLEET_BANDS,
  isActiveAt,
  type ProfiledCar,
  type ProfileNeed,
  profileNeeds,
} from '@syncline/fleet';
import type { AskableCar, Recruitment, Store } from '@syncline/store';
import type { Actor } from '../actor.js';
import { groupBy } from '../rates.js';

/** Fewer shifts in a fluid temperature band happened to come about. */
const MIN_REACHED_SHIFTS = 5;
/** Gearboxes of a club are a handful. */
const PLATFORM_LIMIT = 200;

/** What is lacking, and how the club asks for it. */
export interface RecruitmentView {
  readonly isOpen: boolean;
  readonly callText: string;
  readonly suggestedText: string;
  readonly changed: Pick<Recruitment, 'changedByName' | 'changedAtMs'> | null;
  readonly needs: readonly ProfileNeed[];
}

export type RecruitmentService = ReturnType<typeof createRecruitmentService>;

/** Which cars the club lacks, and whether and how it asks for testers. */
export function createRecruitmentService(store: Store, clock: () => number) {
  const { read } = store;

  const listPlatforms = () =>
    read.platforms.list({ limit: PLATFORM_LIMIT }).items.flatMap(({ id }) => read.platforms.find(id)?.platform ?? []);

  function needs(): ProfileNeed[] {
    const platforms = listPlatforms();
    const reached = new Map(platforms.flatMap(({ id }) => [...bandsByVehicle(id)]));
    const cars = read.requests.cars({}).map((car) => toProfiled(car, reached.get(car.vehicleId) ?? [], clock()));
    return profileNeeds(cars, {
      platforms,
      temperature: DEFAULT_FLEET_BANDS.temperature,
      needed: DEFAULT_EVIDENCE.minVehicles,
    });
  }

  /** The fluid temperature bands that each car reaches, by its logs. */
  function bandsByVehicle(platformId: string): Map<string, number[]> {
    const byVehicle = groupBy(read.fleet.strataByVehicle({ platformId }), ({ vehicleId }) => vehicleId);
    return new Map(
      [...byVehicle].map(([vehicleId, strata]) => {
        const byBand = groupBy(strata, ({ fluidTemperatureBand }) => String(fluidTemperatureBand));
        const reached = [...byBand].filter(
          ([, rows]) => rows.reduce((sum, { shifts }) => sum + shifts, 0) >= MIN_REACHED_SHIFTS,
        );
        return [vehicleId, reached.map(([band]) => Number(band))];
      }),
    );
  }

  return {
    needs,
    listPlatforms,

    view(): RecruitmentView {
      const saved = read.applications.findRecruitment();
      const found = needs();
      const suggestedText = callForTesters(found);
      return {
        isOpen: saved?.isOpen ?? false,
        callText: saved?.callText ?? suggestedText,
        suggestedText,
        changed: saved ?? null,
        needs: found,
      };
    },

    change(actor: Actor, input: { readonly isOpen: boolean; readonly callText: string }): void {
      store.applications.setRecruitment({ actor, ...input });
    },
  };
}

function toProfiled(car: AskableCar, temperatureBands: readonly number[], nowMs: number): ProfiledCar {
  return {
    platformId: car.platformId,
    dialect: car.observedDialect ?? car.declaredDialect,
    isVerified: car.isDialectCleared,
    engine: car.engine,
    isActive: isActiveAt(nowMs, car.lastDrivenAtMs),
    temperatureBands,
  };
}
