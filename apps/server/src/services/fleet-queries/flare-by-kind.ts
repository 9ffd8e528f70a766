import type { Rate } from '@syncline/contract';
import type { Reads } from '@syncline/store';
import { fleetRate, groupBy, sumByVehicle } from '../rates.js';

/** How often each kind of shift flares in the whole fleet of a platform, by kind. */
export function flareByKind(read: Reads, { platformId }: { readonly platformId: string }): ReadonlyMap<string, Rate> {
  const byKind = groupBy(read.fleet.byKind({ platformId }), ({ kind }) => kind);
  return new Map([...byKind].map(([kind, rows]) => [kind, fleetRate(sumByVehicle(rows), 'flare')]));
}
