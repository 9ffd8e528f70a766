import { z } from 'zod';
import type { Permission } from './access.js';
import { id, instant } from './common.js';

/**
 * What a personal API token may be made for: `upload` sends drives of the cars that its person may see, `read` asks
 * for whatever the role may read, `all` does what the role may do. None signs in or makes tokens.
 */
export const TOKEN_SCOPES = ['upload', 'read', 'all'] as const;
export const tokenScope = z.enum(TOKEN_SCOPES);
export type TokenScope = z.infer<typeof tokenScope>;

/** Longest life of a token (days). */
export const MAX_TOKEN_DAYS = 365;

const UPLOAD_PERMISSIONS: readonly Permission[] = ['own:log:write', 'own:log:read', 'own:vehicle:read'];

/** Whether a token of these scopes may use a permission of its person; the role has to hold it as well. */
export function scopesAllow(scopes: readonly TokenScope[], permission: Permission): boolean {
  if (permission === 'session:own') return false;
  return scopes.some((scope) => {
    switch (scope) {
      case 'upload':
        return UPLOAD_PERMISSIONS.includes(permission);
      case 'read':
        return permission.endsWith(':read');
      case 'all':
        return true;
      default:
        return scope satisfies never;
    }
  });
}

export const createTokenRequest = z.object({
  name: z.string().trim().min(1).max(80),
  scopes: z
    .array(tokenScope)
    .min(1, 'choose at least one')
    .refine((scopes) => new Set(scopes).size === scopes.length, 'each at most once'),
  days: z.number().int().min(1).max(MAX_TOKEN_DAYS).describe('until it expires'),
});
export const token = z.object({
  id,
  name: z.string(),
  scopes: z.array(tokenScope),
  createdAt: instant,
  expiresAt: instant,
  lastUsedAt: instant.nullable().describe('to the minute'),
});
export type Token = z.infer<typeof token>;
export const tokensResponse = z.object({ items: z.array(token) });
/** The secret is shown this once and stored only as a hash. */
export const madeToken = token.extend({ secret: z.string() });
export type MadeToken = z.infer<typeof madeToken>;

/** A token as a maintainer sees it: whose it is, never its secret. */
export const clubToken = token.extend({ personId: id, personName: z.string() });
export type ClubToken = z.infer<typeof clubToken>;
export const clubTokensResponse = z.object({ items: z.array(clubToken) });
