import { z } from 'zod';
import { id, instant } from './common.js';
import { email, newPassword, oldPassword, person } from './people.js';
import { termsConsent } from './terms.js';

/** A code of an authenticator app (six digits), or a recovery code; spaces and dashes do not matter. */
const code = z.string().trim().min(6).max(64);

/** A path of this server to go to. Anything that a browser could take for another site is refused. */
export const localPath = z
  .string()
  .max(2000)
  .regex(/^\/(?![/\\])[^\\\p{Cc}]*$/u, 'expected a path that begins with one slash');

export const signInRequest = z.object({ email, password: oldPassword, code: code.optional() });
/** Ends a sign-in by an OpenID provider, for who has a second factor. */
export const codeRequest = z.object({ code });

export const session = z.object({
  person,
  clubName: z.string(),
  expiresAt: instant,
  needs: z.object({
    consent: z.boolean().describe('the terms have changed: nothing is written until they are agreed to'),
    secondFactor: z.boolean().describe('nothing but the account is open until a second factor is added'),
  }),
});
export type Session = z.infer<typeof session>;

export const ownSession = z.object({
  id,
  startedAt: instant,
  lastUsedAt: instant.nullable().describe('to the minute'),
  expiresAt: instant,
  client: z.string().describe('what the browser says of itself'),
  isCurrent: z.boolean(),
});
export type OwnSession = z.infer<typeof ownSession>;
export const ownSessionsResponse = z.object({ items: z.array(ownSession) });

export const consentRequest = termsConsent;
export const changePasswordRequest = z.object({ password: oldPassword, newPassword });

export const secondFactorState = z.object({
  isOn: z.boolean(),
  since: instant.nullable(),
  recoveryCodesLeft: z.number().int(),
  isRequired: z.boolean().describe('of this person, by a setting of the server'),
  needsPassword: z.boolean().describe('false for who comes by an OpenID provider alone'),
});
export type SecondFactorState = z.infer<typeof secondFactorState>;
export const passwordRequest = z.object({ password: z.string().max(200) });
/** Shown to the person once, while the app takes it. */
export const newSecondFactor = z.object({ secret: z.string().describe('base32'), uri: z.string() });
export type NewSecondFactor = z.infer<typeof newSecondFactor>;
/** Shown this once and stored only as hashes; each is good once. */
export const recoveryCodes = z.object({ codes: z.array(z.string()) });

/** Whose new password a link is for. */
export const resetState = z.object({ name: z.string(), clubName: z.string(), expiresAt: instant });
export const resetRequest = z.object({ newPassword });
/** The link's secret is shown once and stored only as a hash. */
export const resetLink = z.object({ path: z.string(), expiresAt: instant });
export type ResetLink = z.infer<typeof resetLink>;

export const suspendRequest = z.object({ reason: z.string().trim().max(200).default('') });

/** What the sign-in page offers beside the password; null for nothing. */
export const openIdOffer = z.object({ name: z.string().nullable() });
/** Where to go after the sign-in, or the invitation that it is to accept. */
export const beginOpenIdRequest = z.object({
  to: localPath.optional(),
  joining: termsConsent.extend({ invitation: z.string().max(100) }).optional(),
});
export const begunOpenId = z.object({ location: z.url() });
