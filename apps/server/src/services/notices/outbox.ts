import type { Notice, Store } from '@syncline/store';
import type { FastifyBaseLogger } from 'fastify';
import type { HookCall, sendHook } from './send-hook.js';
import type { Mail } from './send-mail.js';

const MINUTE_MS = 60_000;
/** When a message is tried again after each failed try; after the last it is given up. Two days and a half in all. */
const RETRY_AFTER_MS = [1, 5, 30, 120, 360, 720, 1440, 1440].map((minutes) => minutes * MINUTE_MS);
const LOOK_EVERY_MS = 20_000;
/** Messages that are sent before others are looked for. */
const BATCH = 20;

export interface OutboxOptions {
  readonly store: Store;
  readonly clock: () => number;
  /** Undefined where no mail is set up. */
  readonly sendMail: ((mail: Mail) => Promise<void>) | undefined;
  readonly sendHook: typeof sendHook;
  readonly isPrivateAllowed: boolean;
  readonly log: Pick<FastifyBaseLogger, 'info' | 'warn' | 'error'>;
}

export type Outbox = ReturnType<typeof createOutbox>;

/**
 * Sends what was queued, when no one waits for it: a message that cannot be sent is tried again later and given up in
 * the end, and nothing else is held up by it. A message may be sent twice where the process ends in between; a hook
 * tells them apart by `Syncline-Notice`.
 */
export function createOutbox(options: OutboxOptions) {
  const { store, clock, log } = options;
  let running: Promise<void> | undefined;
  let timer: NodeJS.Timeout | undefined;
  let isStopping = false;

  async function send(notice: Notice): Promise<void> {
    if (notice.channel === 'mail') {
      if (!options.sendMail) throw new Error('no mail server is set up');
      const { recipient: to, subject, body: text } = notice;
      return options.sendMail({ to, subject, text });
    }
    const hook = store.read.notices.findHook(notice.recipient);
    if (!hook) throw new Error('the hook was removed');
    const { isPrivateAllowed } = options;
    const call: HookCall = { ...hook, noticeId: notice.id, body: notice.body, nowMs: clock(), isPrivateAllowed };
    return options.sendHook(call);
  }

  async function tryOne(notice: Notice): Promise<void> {
    try {
      await send(notice);
      store.notices.settle(notice.id, { isSent: true });
      log.info({ event: 'notice.sent', noticeId: notice.id, channel: notice.channel });
    } catch (err) {
      const retryAfterMs = RETRY_AFTER_MS[notice.attempts];
      const nextAtMs = retryAfterMs === undefined ? null : clock() + retryAfterMs;
      const error = err instanceof Error ? err.message : String(err);
      store.notices.settle(notice.id, { isSent: false, error, nextAtMs });
      const fields = { noticeId: notice.id, channel: notice.channel, attempt: notice.attempts + 1, error };
      if (nextAtMs === null) log.error({ event: 'notice.givenUp', ...fields });
      else log.warn({ event: 'notice.retry', ...fields });
    }
  }

  async function deliver(): Promise<void> {
    for (let due = store.read.notices.due(BATCH); due.length > 0 && !isStopping; due = store.read.notices.due(BATCH)) {
      for (const notice of due) {
        if (isStopping) return;
        await tryOne(notice);
      }
    }
  }

  /** Sends all that is due. One round at a time; resolves when it is over. */
  function deliverDue(): Promise<void> {
    running ??= deliver()
      .catch((err) => log.error({ event: 'outbox.failed', err }))
      .finally(() => {
        running = undefined;
      });
    return running;
  }

  return {
    deliverDue,

    start(): void {
      timer = setInterval(() => void deliverDue(), LOOK_EVERY_MS);
      void deliverDue();
    },

    /** Says that there may be a new message, once the transaction that queued it is over. */
    nudge(): void {
      if (timer !== undefined) setImmediate(() => void deliverDue());
    },

    /** Waits for the message that is on its way. */
    async stop(): Promise<void> {
      isStopping = true;
      clearInterval(timer);
      await running;
    },
  };
}
