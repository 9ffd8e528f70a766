import { Secret, TOTP } from 'otpauth';

/** RFC 6238 as authenticator apps take it for granted: SHA-1, six digits, a new code every thirty seconds. */
const SETTINGS = { algorithm: 'SHA1', digits: 6, period: 30 } as const;
/** Codes taken before and after the present one: for a slow typist and a clock that is off (RFC 6238, 5.2). */
const WINDOW_STEPS = 1;
/** Bytes of a secret: the length that RFC 4226, 4 recommends. */
const SECRET_BYTES = 20;

/** A new secret in base32. */
export function newTotpSecret(): string {
  return new Secret({ size: SECRET_BYTES }).base32;
}

/** What an authenticator app reads from the picture: an `otpauth://` address with the secret in it. */
export function totpUri({ secret, issuer, label }: { secret: string; issuer: string; label: string }): string {
  return new TOTP({ ...SETTINGS, secret: Secret.fromBase32(secret), issuer, label }).toString();
}

/** The time step whose code this is, near now; undefined when it is none. Compared in constant time by the library. */
export function matchingStep(secret: string, code: string, nowMs: number): number | undefined {
  if (!/^\d{6}$/.test(code)) return undefined;
  const totp = new TOTP({ ...SETTINGS, secret: Secret.fromBase32(secret) });
  const delta = totp.validate({ token: code, timestamp: nowMs, window: WINDOW_STEPS });
  return delta === null ? undefined : totp.counter({ timestamp: nowMs }) + delta;
}
