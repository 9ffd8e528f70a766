import type { FleetFilter, Reads, Scope, ShiftFilter, ShiftQuantity } from '@syncline/store';
import { compareAllOutcomes, compareDriving, compareInDetail, type RevisionPair } from './compare-outcomes.js';
import { compareSpreads } from './compare-spreads.js';
import { driveBesideFleet } from './drive-beside-fleet.js';
import { flareByKind } from './flare-by-kind.js';
import { fleetMatrices, fleetMatrix } from './fleet-matrix.js';
import { fleetSpread } from './fleet-spread.js';
import { fleetTrend } from './fleet-trend.js';
import { fleetVehicles } from './fleet-vehicles.js';

/**
 * Questions to the fleet that take longer than other requests should wait; a thread of their own answers them. What
 * they ask and say crosses to it, and so is plain data.
 */
export const FLEET_QUERIES = {
  matrix: fleetMatrix,
  matrices: fleetMatrices,
  vehicles: fleetVehicles,
  flareByKind,
  driveBesideFleet,
  trend: fleetTrend,
  coverage: (read: Reads, filter: FleetFilter) => read.fleet.coverage(filter),
  outcomes: compareAllOutcomes,
  detail: compareInDetail,
  driving: compareDriving,
  spreads: compareSpreads,
  spread: fleetSpread,
  facets: (read: Reads, { scope, filter }: { scope: Scope; filter: ShiftFilter }) => read.shifts.facets(scope, filter),
  distribution: (read: Reads, { scope, query }: { scope: Scope; query: ShiftFilter & { quantity: ShiftQuantity } }) =>
    read.shifts.distribution(scope, query),
  /** Brings the summaries into the memory of the thread. */
  warmUp: (read: Reads, _nothing: Readonly<Record<never, never>>): void => {
    for (const _step of read.fleet.warmUp());
  },
} as const;

type Queries = typeof FLEET_QUERIES;
export type FleetQueryName = keyof Queries;
export type FleetQueryInput<Name extends FleetQueryName> = Parameters<Queries[Name]>[1];
export type FleetQueryAnswer<Name extends FleetQueryName> = ReturnType<Queries[Name]>;

/** Asks the thread. */
export interface FleetQueryPool {
  ask<Name extends FleetQueryName>(name: Name, input: FleetQueryInput<Name>): Promise<FleetQueryAnswer<Name>>;
  close(): Promise<void>;
}

/** Answers that are kept as long as the summaries that they come from stay as they are. */
const KEPT_ANSWERS = 200;

/** Answers questions and remembers the answers that hang on summaries alone. */
export function fleetAnswers(read: Reads) {
  const kept = new Map<string, { readonly state: string; readonly answer: unknown }>();

  function remember(key: string, state: string, work: () => unknown): unknown {
    const known = kept.get(key);
    kept.delete(key);
    const entry = known?.state === state ? known : { state, answer: work() };
    kept.set(key, entry);
    const [oldest] = kept.keys();
    if (kept.size > KEPT_ANSWERS) kept.delete(oldest);
    return entry.answer;
  }

  return <Name extends FleetQueryName>(name: Name, input: FleetQueryInput<Name>): FleetQueryAnswer<Name> => {
    const work = () => (FLEET_QUERIES[name] as (read: Reads, input: unknown) => unknown)(read, input);
    const state = stateOf(read, input);
    const answer = state === null ? work() : remember(`${name} ${JSON.stringify(input)}`, state, work);
    return answer as FleetQueryAnswer<Name>;
  };
}

/** What an answer hangs on besides what was asked; null where that is not the summaries of a platform alone. */
function stateOf(read: Reads, input: object): string | null {
  if ('scope' in input || !('platformId' in input)) return null;
  if ('baseId' in input) {
    const { platformId, baseId, otherId } = input as RevisionPair;
    return read.fleet.state({ platformId, revisionIds: [baseId, otherId] });
  }
  return read.fleet.state(input as FleetQueryInput<'spread'>);
}
