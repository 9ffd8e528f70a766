import { z } from 'zod';
import { id, instant } from './common.js';

/** Header of a web hook: HMAC-SHA-256 over `<timestamp>.<body>` with its secret, as `v1=<hex>`. */
export const HOOK_SIGNATURE_HEADER = 'syncline-signature';
/** Header of a web hook: seconds since 1970; a receiver refuses what is older than some minutes. */
export const HOOK_TIMESTAMP_HEADER = 'syncline-timestamp';

export const hook = z.object({ id, url: z.string(), createdByName: z.string(), createdAt: instant });
export type Hook = z.infer<typeof hook>;
export const hooksResponse = z.object({ items: z.array(hook) });
export type HooksResponse = z.infer<typeof hooksResponse>;
export const createHookRequest = z.object({
  url: z.url({ protocol: /^https?$/, error: 'expected an address such as https://club.example/told' }).max(500),
});
/** The secret is shown this once. */
export const madeHook = hook.extend({ secret: z.string() });

export const notice = z.object({
  id,
  channel: z.enum(['mail', 'hook']),
  recipient: z.string(),
  about: z.string(),
  subject: z.string(),
  state: z.enum(['waiting', 'sent', 'failed']),
  attempts: z.number().int(),
  nextAt: instant,
  lastError: z.string(),
  createdAt: instant,
  sentAt: instant.nullable(),
});
export type Notice = z.infer<typeof notice>;
export const noticesResponse = z.object({
  items: z.array(notice).describe('newest first, at most 100'),
  isMailSetUp: z.boolean(),
});
export type NoticesResponse = z.infer<typeof noticesResponse>;
