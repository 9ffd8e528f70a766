import { z } from 'zod';
import { role } from './access.js';
import { id, instant, pageOf, shortText } from './common.js';
import { termsConsent } from './terms.js';

export const email = z
  .email()
  .max(200)
  .transform((value) => value.toLowerCase());
/** One to be chosen. */
export const newPassword = z.string().min(12, 'at least 12 characters').max(200);
/** One to be checked: rules of today do not keep out one of yesterday. */
export const oldPassword = z.string().min(1).max(200);

export const setupState = z.object({ isNeeded: z.boolean() });
export const setupRequest = z.object({
  clubName: shortText,
  name: shortText,
  email,
  password: newPassword,
  ...termsConsent.shape,
});

export const person = z.object({
  id,
  name: z.string(),
  email: z.string(),
  role,
  createdAt: instant,
  suspendedAt: instant.nullable(),
  consentVersion: z.number().int().describe('of the terms that were agreed to last; 0 for none'),
  consentAt: instant.nullable(),
  hasSecondFactor: z.boolean(),
  erasedAt: instant.nullable().describe('when everything that told who this is was removed'),
});
export type Person = z.infer<typeof person>;

/** Confirms by the address of the account whose data go. */
export const eraseRequest = z.object({ email });
export const erasure = z.object({ vehicleCount: z.number().int(), logCount: z.number().int() });
export type Erasure = z.infer<typeof erasure>;

export const personPage = pageOf(person);
export const invitationRequest = z.object({ role, note: z.string().trim().max(200).default('') });
/** The link's secret is shown once and stored only as a hash. */
export const invitation = z.object({ id, role, note: z.string(), path: z.string(), expiresAt: instant });
export type Invitation = z.infer<typeof invitation>;
export const invitationState = z.object({ role, clubName: z.string(), expiresAt: instant });
export const acceptInvitationRequest = z.object({
  name: shortText,
  email,
  password: newPassword,
  ...termsConsent.shape,
});
