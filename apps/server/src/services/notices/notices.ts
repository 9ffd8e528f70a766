import { randomBytes } from 'node:crypto';
import type { Hook, Notice, Store } from '@syncline/store';
import { problem } from '../../problem-error.js';
import type { Actor } from '../actor.js';
import { hookFault } from './hook-address.js';

const SHOWN_NOTICES = 100;

export type NoticeService = ReturnType<typeof createNoticeService>;

/** Whom else is told, and what became of each message. */
export function createNoticeService(
  { read, notices }: Store,
  options: { readonly isPrivateAllowed: boolean; readonly isMailSetUp: boolean },
) {
  return {
    isMailSetUp: options.isMailSetUp,
    listHooks: (): readonly Hook[] => read.notices.hooks(),
    list: (): readonly Notice[] => read.notices.list({ limit: SHOWN_NOTICES }),

    /** The secret is shown this once. */
    addHook(actor: Actor, url: string): Hook & { readonly secret: string } {
      const fault = hookFault(url, options.isPrivateAllowed);
      if (fault !== null) throw problem('hook.forbidden', { detail: fault });
      const secret = randomBytes(32).toString('base64url');
      const hook = read.notices.findHook(notices.addHook({ actor, url, secret }));
      if (!hook) throw new Error('a hook has no row after it was added');
      return hook;
    },

    removeHook: (actor: Actor, hookId: string): void => notices.removeHook({ actor, hookId }),
  };
}
