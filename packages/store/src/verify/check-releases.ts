import type { Db } from '../database/context.js';

/**
 * What the newest event that moved a release says of it, beside what its row says. Newest as written: ids go by the
 * clock, which can be set back.
 */
const OTHER_STANDING = `
  SELECT releases.id, releases.state, releases.stage, moved.kind, moved.stage AS movedStage
  FROM releases
  LEFT JOIN release_events AS moved ON moved.rowid = (
    SELECT max(release_events.rowid) FROM release_events
    WHERE release_events.release_id = releases.id AND release_events.kind NOT IN ('join', 'installed', 'failed'))
  WHERE moved.id IS NULL OR moved.stage <> releases.stage OR releases.state <> CASE moved.kind
    WHEN 'draft' THEN 'draft' WHEN 'hold' THEN 'held' WHEN 'complete' THEN 'complete' WHEN 'recall' THEN 'recalled'
    ELSE 'running' END
  ORDER BY releases.id`;

/** Each event and each download is written with its audit entry. */
const UNEQUAL_TRAIL = `
  WITH done AS (
    SELECT 'release.' || kind AS action, 'release:' || release_id AS target FROM release_events
    UNION ALL SELECT 'release.download', 'release:' || release_id FROM downloads),
  counted AS (
    SELECT action, target, count(*) AS done, 0 AS told FROM done GROUP BY 1, 2
    UNION ALL SELECT action, target, 0, count(*) FROM audit WHERE target LIKE 'release:%' GROUP BY 1, 2)
  SELECT action, target, sum(done) AS done, sum(told) AS told FROM counted
  GROUP BY 1, 2 HAVING sum(done) <> sum(told) ORDER BY 2, 1`;

/** A car answers in one statement with the event of it. */
const ANSWER_WITHOUT_EVENT = `
  SELECT release_id AS id FROM release_cars WHERE answer <> 'none' AND NOT EXISTS (
    SELECT 1 FROM release_events
    WHERE release_events.release_id = release_cars.release_id AND release_events.kind = release_cars.answer)
  ORDER BY 1`;

const TWO_AT_ONCE = `
  SELECT DISTINCT earlier.vehicle_id AS id FROM installations AS earlier
  JOIN installations AS later ON later.vehicle_id = earlier.vehicle_id AND later.id <> earlier.id
    AND (later.since_at_ms, later.id) > (earlier.since_at_ms, earlier.id)
  WHERE earlier.until_at_ms IS NULL OR earlier.until_at_ms > later.since_at_ms
  ORDER BY 1`;

/**
 * What releases, installations and the audit trail say against each other, in words: a release that is half moved, an
 * act that was done without being told or told without being done, a car that runs two things at once.
 */
export function releaseFaults({ $client }: Db): string[] {
  const rows = <Row>(query: string) => $client.prepare(query).all() as Row[];
  const standing = rows<{ id: string; state: string; stage: number; kind: string | null; movedStage: number | null }>(
    OTHER_STANDING,
  );
  const trail = rows<{ action: string; target: string; done: number; told: number }>(UNEQUAL_TRAIL);
  return [
    ...standing.map(({ id, state, stage, kind, movedStage }) =>
      kind === null
        ? `release ${id} has no event`
        : `release ${id} is ${state} at stage ${stage + 1}, its last event is ${kind} at stage ${(movedStage ?? 0) + 1}`,
    ),
    ...trail.map(
      ({ action, target, done, told }) => `${target}: ${action} happened ${done} times, the trail has ${told}`,
    ),
    ...rows<{ id: string }>(ANSWER_WITHOUT_EVENT).map(({ id }) => `release ${id} has an answer without its event`),
    ...rows<{ id: string }>(TWO_AT_ONCE).map(({ id }) => `car ${id} has two revisions installed at once`),
  ];
}
