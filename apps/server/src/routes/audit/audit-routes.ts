import { Readable } from 'node:stream';
import { auditChain, auditFilter, auditListQuery, auditPage } from '@syncline/contract';
import type { AuditTrailService } from '../../services/audit-trail.js';
import type { App } from '../app.js';
import { attachment, fileNameOf } from '../csv.js';
import { toInstant, toPage } from '../format.js';
import { auditCsv, auditLines } from './audit-files.js';
import { fromAuditFilter, toAuditEntry } from './to-audit.js';

const config = { access: 'audit:read' } as const;

/** The audit trail, its downloads, and whether it still is as it was written. */
export function addAuditRoutes(app: App, { audit, clock }: { audit: AuditTrailService; clock: () => number }): void {
  app.get(
    '/audit',
    { config, schema: { querystring: auditListQuery, response: { 200: auditPage } } },
    async (request) => {
      const { cursor, limit, ...filter } = request.query;
      return toPage(audit.list({ cursor, limit }, fromAuditFilter(filter)), toAuditEntry);
    },
  );

  app.get('/audit/chain', { config, schema: { response: { 200: auditChain } } }, async () => ({
    ...(await audit.check()),
    checkedAt: toInstant(clock()),
  }));

  app.get(
    '/audit.csv',
    { config, schema: { querystring: auditFilter, produces: ['text/csv'] } },
    async (request, reply) =>
      reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(fileNameOf('audit', request.query)))
        .send(Readable.from(auditCsv(audit.batches(fromAuditFilter(request.query))))),
  );

  app.get(
    '/audit.jsonl',
    { config, schema: { querystring: auditFilter, produces: ['application/jsonl'] } },
    async (request, reply) =>
      reply
        .type('application/jsonl; charset=utf-8')
        .header('content-disposition', attachment('audit.jsonl'))
        .send(Readable.from(auditLines(audit.batches(fromAuditFilter(request.query))))),
  );
}
