import { Readable } from 'node:stream';
import {
  createNoteRequest,
  editNoteRequest,
  logListQuery,
  logPage,
  logResponse,
  logShiftsResponse,
  logSummary,
  note,
  notesResponse,
  signalsQuery,
  signalsResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { LogService } from '../../services/logs.js';
import type { SignalService } from '../../services/signals.js';
import type { App } from '../app.js';
import { attachment } from '../csv.js';
import { toPage } from '../format.js';
import { isKnownContent } from '../immutable.js';
import { toLockUpRow, toShiftRow } from '../shifts/to-shift.js';
import { signalCsv } from './signal-csv.js';
import { toLogResponse, toLogSummary, toMarkRows, toNote, toSignalsResponse } from './to-log.js';

const logParams = z.object({ logId: z.string() });
const noteParams = logParams.extend({ noteId: z.string() });
const rawSignalsQuery = signalsQuery.omit({ points: true });
const access = 'own:log:read';

/** Drive logs: what they are, their signals, shifts and notes. */
export function addLogRoutes(
  app: App,
  { logs, signals }: { readonly logs: LogService; readonly signals: SignalService },
): void {
  app.get(
    '/logs',
    { config: { access }, schema: { querystring: logListQuery, response: { 200: logPage } } },
    async (request) => {
      const { vehicle, state, revision, ...page } = request.query;
      const filter = { vehicleId: vehicle, state, revisionId: revision };
      return toPage(logs.list(actorOf(request), filter, page), toLogSummary);
    },
  );

  app.get(
    '/logs/:logId',
    { config: { access }, schema: { params: logParams, response: { 200: logResponse } } },
    async (request) => toLogResponse(logs.get(actorOf(request), request.params.logId)),
  );

  app.get(
    '/logs/:logId/original',
    { config: { access }, schema: { params: logParams, produces: ['application/octet-stream'] } },
    async (request, reply) => {
      const actor = actorOf(request);
      // Before anything is marked as never changing: a removed file can come again.
      const log = logs.getWithOriginal(actor, request.params.logId);
      if (isKnownContent(request, reply, log.sha256)) return reply.code(304).send();
      return reply
        .type('application/octet-stream')
        .header('content-length', log.sizeBytes)
        .header('content-disposition', attachment(log.fileName))
        .send(logs.openOriginal(actor, log.id));
    },
  );

  app.get(
    '/logs/:logId/signals',
    {
      config: { access },
      schema: { params: logParams, querystring: signalsQuery, response: { 200: signalsResponse } },
    },
    async (request) => {
      const query = { ...request.query, signals: listOf(request.query.signals) };
      return toSignalsResponse(await signals.window(actorOf(request), request.params.logId, query));
    },
  );

  app.get(
    '/logs/:logId/signals.csv',
    { config: { access }, schema: { params: logParams, querystring: rawSignalsQuery, produces: ['text/csv'] } },
    async (request, reply) => {
      const query = { ...request.query, signals: listOf(request.query.signals) };
      const { log, signalIds, batches } = await signals.raw(actorOf(request), request.params.logId, query);
      return reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(`${log.fileName} signals.csv`))
        .send(Readable.from(signalCsv(signalIds, batches)));
    },
  );

  app.get(
    '/logs/:logId/shifts',
    { config: { access }, schema: { params: logParams, response: { 200: logShiftsResponse } } },
    async (request) => {
      const found = logs.listShifts(actorOf(request), request.params.logId);
      return {
        shifts: found.shifts.map(toShiftRow),
        lockUps: found.lockUps.map(toLockUpRow),
        marks: toMarkRows(found.marks),
      };
    },
  );

  app.get(
    '/logs/:logId/notes',
    { config: { access }, schema: { params: logParams, response: { 200: notesResponse } } },
    async (request) => {
      const actor = actorOf(request);
      return { items: logs.listNotes(actor, request.params.logId).map((entry) => toNote(entry, actor)) };
    },
  );

  app.post(
    '/logs/:logId/notes',
    {
      config: { access: 'own:log:write' },
      schema: { params: logParams, body: createNoteRequest, response: { 201: note } },
    },
    (request, reply) => {
      const actor = actorOf(request);
      reply.code(201);
      return toNote(logs.addNote(actor, request.params.logId, request.body), actor);
    },
  );

  app.patch(
    '/logs/:logId/notes/:noteId',
    {
      config: { access: 'own:log:write' },
      schema: { params: noteParams, body: editNoteRequest, response: { 200: note } },
    },
    (request) => {
      const actor = actorOf(request);
      const { logId, noteId } = request.params;
      return toNote(logs.editNote(actor, logId, noteId, request.body), actor);
    },
  );

  app.delete(
    '/logs/:logId/notes/:noteId',
    { config: { access: 'own:log:write' }, schema: { params: noteParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      logs.removeNote(actorOf(request), request.params.logId, request.params.noteId);
      reply.code(204);
    },
  );

  app.post(
    '/logs/:logId/analysis',
    { config: { access: 'log:reanalyse' }, schema: { params: logParams, response: { 202: logSummary } } },
    (request, reply) => {
      reply.code(202);
      return toLogSummary(logs.reanalyse(actorOf(request), request.params.logId));
    },
  );
}

function listOf(text: string): string[] {
  return text.split(',').filter((name) => name !== '');
}
