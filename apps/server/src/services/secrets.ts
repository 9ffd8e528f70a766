import { createHash, randomBytes } from 'node:crypto';

/** A secret for a cookie or a link: 32 random bytes, shown once. Only its hash is kept. */
export function newSecret(): { readonly secret: string; readonly secretHash: string } {
  const secret = randomBytes(32).toString('base64url');
  return { secret, secretHash: hashSecret(secret) };
}

/** SHA-256 in lower-case hex. Enough for 256 random bits; passwords are hashed slowly instead. */
export function hashSecret(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}
