import { z } from 'zod';
import { id, instant, pageOf, pageQuery } from './common.js';

/** Fields of a thing as they were or became, by name; without secrets, and cut to a bound. */
export const auditState = z.record(z.string(), z.union([z.string(), z.number(), z.boolean(), z.null()]));
export type AuditState = z.infer<typeof auditState>;

export const auditEntry = z.object({
  id: z.number().int().describe('counts from 1 without gaps'),
  at: instant,
  actorKind: z.enum(['person', 'token', 'system']),
  actorId: id.nullable(),
  actorName: z.string(),
  action: z.string(),
  target: z.string(),
  detail: z.string(),
  requestId: z.string(),
  before: auditState.nullable(),
  after: auditState.nullable(),
  hash: z.string().describe('SHA-256 of this entry and the hash of the one before it'),
});
export type AuditEntry = z.infer<typeof auditEntry>;
export const auditPage = pageOf(auditEntry);

/** Which entries are meant. */
export const auditFilter = z.object({
  person: id.optional().describe('who did it; `system` for the server itself'),
  target: z.string().max(200).optional().describe('a thing (`vehicle:…`), or a kind of things (`vehicle`)'),
  action: z.string().max(100).optional().describe('an action (`vehicle.install`), or an area (`vehicle`)'),
  from: instant.optional(),
  until: instant.optional().describe('before this instant'),
});
export type AuditFilter = z.infer<typeof auditFilter>;
export const auditListQuery = pageQuery.extend(auditFilter.shape);

/** Whether every entry still is as it was written. `headHash` stands for all of them: note it down elsewhere. */
export const auditChain = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('whole'), entryCount: z.number().int(), headHash: z.string(), checkedAt: instant }),
  z.object({
    kind: z.literal('broken'),
    entryCount: z.number().int().describe('entries before the first that does not fit'),
    entryId: z.number().int(),
    reason: z.string(),
    checkedAt: instant,
  }),
]);
export type AuditChain = z.infer<typeof auditChain>;
