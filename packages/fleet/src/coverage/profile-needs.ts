import { type Banding, bandLabel } from '../summaries/bands.js';

/** What is known of a car of the club, for the question which cars are missing. */
export interface ProfiledCar {
  readonly platformId: string;
  /** Observed, else declared; null while neither is known. */
  readonly dialect: string | null;
  /** Whether its dialect was confirmed, or decided on. */
  readonly isVerified: boolean;
  readonly engine: string;
  /** Whether it was driven lately. */
  readonly isActive: boolean;
  /** Fluid temperature bands that its logs reach. */
  readonly temperatureBands: readonly number[];
}

export interface ProfiledPlatform {
  readonly id: string;
  readonly title: string;
  readonly dialects: readonly { readonly id: string; readonly title: string }[];
}

export type NeedDimension = 'platform' | 'dialect' | 'engine' | 'temperature';

/** How well one kind of car is represented. */
export interface ProfileNeed {
  readonly dimension: NeedDimension;
  /** Of the dimension: id of the platform, of the dialect, engine as `engineKey`, index of the band. */
  readonly value: string;
  readonly title: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly cars: number;
  readonly active: number;
  readonly verified: number;
  readonly needed: number;
  /** Fewer active cars than a rate needs. */
  readonly isLacking: boolean;
}

/** What an applicant says of the car. */
export interface OfferedCar {
  readonly platformId: string | null;
  readonly dialect: string | null;
  readonly engine: string;
  readonly climates: readonly Climate[];
}

/** Where a car is driven, in words that its owner can say without a measurement. */
export type Climate = 'frost' | 'mild' | 'heat' | 'mountains';

/** Engines are free text: case and space do not make another one. */
export function engineKey(engine: string): string {
  return engine.trim().toLowerCase().replace(/\s+/g, ' ');
}

/**
 * Counts the cars of each gearbox variant, dialect and engine, and of those that reach the coldest and the hottest fluid,
 * which tell of climate and load; per platform. Those with fewer than `needed` active cars are lacking. In the order of the platforms, then of the dimensions. Cars of an engine that
 * was not told are in no engine. O(cars · values).
 */
export function profileNeeds(
  cars: readonly ProfiledCar[],
  options: { readonly platforms: readonly ProfiledPlatform[]; readonly temperature: Banding; readonly needed: number },
): ProfileNeed[] {
  const { platforms, temperature, needed } = options;
  return platforms.flatMap((platform) => {
    const own = cars.filter(({ platformId }) => platformId === platform.id);
    const count = (dimension: NeedDimension, value: string, title: string, has: (car: ProfiledCar) => boolean) => {
      const found = own.filter(has);
      const active = found.filter(({ isActive }) => isActive).length;
      return {
        dimension,
        value,
        title,
        platformId: platform.id,
        platformTitle: platform.title,
        cars: found.length,
        active,
        verified: found.filter(({ isVerified }) => isVerified).length,
        needed,
        isLacking: active < needed,
      };
    };
    const engines = new Map(own.map(({ engine }) => [engineKey(engine), engine.trim()]));
    engines.delete('');
    return [
      count('platform', platform.id, platform.title, () => true),
      ...platform.dialects.map(({ id, title }) => count('dialect', id, title, ({ dialect }) => dialect === id)),
      ...[...engines].map(([key, engine]) => count('engine', key, engine, (car) => engineKey(car.engine) === key)),
      ...[0, temperature.edges.length].map((band) =>
        count('temperature', String(band), bandLabel(temperature, band), (car) => car.temperatureBands.includes(band)),
      ),
    ];
  });
}

/**
 * The lacking profiles that an offered car would fill. A car whose gearbox is not known fills none. Winters with frost
 * bring the coldest fluid, hot summers and mountains the hottest.
 */
export function needsFilledBy(offer: OfferedCar, needs: readonly ProfileNeed[]): ProfileNeed[] {
  const bands = needs.filter(({ dimension }) => dimension === 'temperature').map(({ value }) => Number(value));
  const hottest = String(Math.max(...bands));
  const isCold = offer.climates.includes('frost');
  const isHot = offer.climates.includes('heat') || offer.climates.includes('mountains');
  return needs.filter(({ dimension, value, platformId, isLacking }) => {
    if (!isLacking || platformId !== offer.platformId) return false;
    switch (dimension) {
      case 'platform':
        return true;
      case 'dialect':
        return value === offer.dialect;
      case 'engine':
        return value === engineKey(offer.engine);
      case 'temperature':
        return (isCold && value === '0') || (isHot && value === hottest);
      default:
        return dimension satisfies never;
    }
  });
}
