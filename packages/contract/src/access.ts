import { z } from 'zod';

export const ROLES = ['maintainer', 'reviewer', 'tester'] as const;
export const role = z.enum(ROLES);
export type Role = z.infer<typeof role>;

/**
 * What a route may demand. Each route names exactly one; `public` needs no sign-in. For `own:*` the rows are narrowed
 * to the caller's cars unless the caller is a maintainer or a reviewer: what a person may not see answers 404.
 */
export const PERMISSIONS = {
  'session:own': ['maintainer', 'reviewer', 'tester'],
  'platform:read': ['maintainer', 'reviewer', 'tester'],
  'platform:write': ['maintainer'],
  'calibration:read': ['maintainer', 'reviewer'],
  'calibration:write': ['maintainer'],
  'review:write': ['maintainer', 'reviewer'],
  'own:vehicle:read': ['maintainer', 'reviewer', 'tester'],
  'own:vehicle:write': ['maintainer', 'tester'],
  'vehicle:observe': ['maintainer'],
  'own:log:read': ['maintainer', 'reviewer', 'tester'],
  'own:log:write': ['maintainer', 'tester'],
  'log:reanalyse': ['maintainer'],
  'fleet:read': ['maintainer', 'reviewer', 'tester'],
  'evidence:read': ['maintainer', 'reviewer'],
  'people:read': ['maintainer', 'reviewer'],
  'people:write': ['maintainer'],
  'audit:read': ['maintainer'],
  'own:request:read': ['maintainer', 'reviewer', 'tester'],
  'own:request:answer': ['maintainer', 'tester'],
  'request:write': ['maintainer'],
  'application:read': ['maintainer', 'reviewer'],
  'application:write': ['maintainer'],
} as const satisfies Record<string, readonly Role[]>;

export type Permission = keyof typeof PERMISSIONS;
export type Access = 'public' | Permission;

/** Whether a role holds a permission. */
export function mayDo(holder: Role, permission: Permission): boolean {
  return (PERMISSIONS[permission] as readonly Role[]).includes(holder);
}
