import { eq, type SQL, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import { vehicles } from '../schema/vehicles.js';

/** What is made when it is asked for first: to put a query together takes as long as to run it. */
export function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => (made ??= { value: make() }).value;
}

/** A query that is put together once for all rows and once for those of one owner, whose id it then takes as `ownerId`. */
export function oncePerScope<T>(make: (isInScope: SQL | undefined) => T): (scope: Scope) => T {
  const ofAll = once(() => make(undefined));
  const ofOwner = once(() => make(eq(vehicles.ownerId, sql.placeholder('ownerId'))));
  return ({ ownerId }) => (ownerId === undefined ? ofAll() : ofOwner());
}
