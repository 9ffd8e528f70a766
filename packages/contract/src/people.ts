import { z } from 'zod';
import { role } from './access.js';
import { id, instant, pageOf, shortText } from './common.js';

const email = z
  .email()
  .max(200)
  .transform((value) => value.toLowerCase());
const password = z.string().min(12, 'at least 12 characters').max(200);

export const setupState = z.object({ isNeeded: z.boolean() });
export const setupRequest = z.object({ clubName: shortText, name: shortText, email, password });

export const signInRequest = z.object({ email, password: z.string().min(1).max(200) });
export const person = z.object({ id, name: z.string(), email: z.string(), role, createdAt: instant });
export type Person = z.infer<typeof person>;
export const session = z.object({
  person,
  clubName: z.string(),
  expiresAt: instant,
});
export type Session = z.infer<typeof session>;

export const personPage = pageOf(person);
export const invitationRequest = z.object({ role, note: z.string().trim().max(200).default('') });
/** The link's secret is shown once and stored only as a hash. */
export const invitation = z.object({ id, role, note: z.string(), path: z.string(), expiresAt: instant });
export type Invitation = z.infer<typeof invitation>;
export const invitationState = z.object({ role, clubName: z.string(), expiresAt: instant });
export const acceptInvitationRequest = z.object({ name: shortText, email, password });

export const auditEntry = z.object({
  id: z.number().int(),
  at: instant,
  actorName: z.string(),
  action: z.string(),
  target: z.string(),
  detail: z.string(),
  requestId: z.string(),
});
export const auditPage = pageOf(auditEntry);
