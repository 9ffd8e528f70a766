import { createHookRequest, hooksResponse, madeHook, noticesResponse } from '@syncline/contract';
import type { Hook, Notice } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { NoticeService } from '../../services/notices/notices.js';
import type { App } from '../app.js';
import { toInstant, toInstantOrNull } from '../format.js';

const hookParams = z.object({ hookId: z.string() });

/** Web hooks, and what became of the messages that were to go out. */
export function addNoticeRoutes(app: App, notices: NoticeService): void {
  app.get('/hooks', { config: { access: 'hook:read' }, schema: { response: { 200: hooksResponse } } }, async () => ({
    items: notices.listHooks().map(toHook),
  }));

  app.post(
    '/hooks',
    { config: { access: 'hook:write' }, schema: { body: createHookRequest, response: { 201: madeHook } } },
    (request, reply) => {
      const { secret, ...hook } = notices.addHook(actorOf(request), request.body.url);
      reply.code(201);
      return { ...toHook(hook), secret };
    },
  );

  app.delete(
    '/hooks/:hookId',
    { config: { access: 'hook:write' }, schema: { params: hookParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      notices.removeHook(actorOf(request), request.params.hookId);
      reply.code(204);
    },
  );

  app.get(
    '/notices',
    { config: { access: 'hook:read' }, schema: { response: { 200: noticesResponse } } },
    async () => ({
      items: notices.list().map(toNotice),
      isMailSetUp: notices.isMailSetUp,
    }),
  );
}

function toHook({ createdAtMs, ...hook }: Hook) {
  return { ...hook, createdAt: toInstant(createdAtMs) };
}

/** Without the body: it is for its reader. */
function toNotice({ body: _body, nextAtMs, createdAtMs, sentAtMs, ...notice }: Notice) {
  return {
    ...notice,
    nextAt: toInstant(nextAtMs),
    createdAt: toInstant(createdAtMs),
    sentAt: toInstantOrNull(sentAtMs),
  };
}
