import { reportResponse } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ReportService } from '../../services/reports.js';
import type { App } from '../app.js';
import { toReport } from './to-report.js';

/** The report of one drive. */
export function addReportRoute(app: App, reports: ReportService): void {
  app.get(
    '/logs/:logId/report',
    {
      config: { access: 'own:log:read' },
      schema: { params: z.object({ logId: z.string() }), response: { 200: reportResponse } },
    },
    async (request) => {
      const actor = actorOf(request);
      return toReport(await reports.get(actor, request.params.logId), actor);
    },
  );
}
