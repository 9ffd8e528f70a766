import { getTableColumns, sql } from 'drizzle-orm';
import { people } from '../schema/people.js';

const { passwordHash: _secret, ...columns } = getTableColumns(people);

/** What is told of a person: everything but the password. */
export const personColumns = {
  ...columns,
  hasSecondFactor: sql<boolean>`EXISTS (SELECT 1 FROM second_factors WHERE second_factors.person_id = ${people.id}
    AND second_factors.confirmed_at_ms IS NOT NULL)`.mapWith(Boolean),
};
