import { z } from 'zod';

/** A reader sees what a reviewer sees, but for applications of people outside the club, and changes nothing. */
export const ROLES = ['maintainer', 'reviewer', 'reader', 'tester'] as const;
export const role = z.enum(ROLES);
export type Role = z.infer<typeof role>;

/**
 * What a route may demand. Each route names exactly one; `public` needs no sign-in. For `own:*` the rows are narrowed
 * to the caller's cars when the caller is a tester: what a person may not see answers 404.
 */
export const PERMISSIONS = {
  'session:own': ['maintainer', 'reviewer', 'reader', 'tester'],
  'platform:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'platform:write': ['maintainer'],
  'calibration:read': ['maintainer', 'reviewer', 'reader'],
  'calibration:write': ['maintainer'],
  'review:write': ['maintainer', 'reviewer'],
  'own:vehicle:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'own:vehicle:write': ['maintainer', 'tester'],
  'vehicle:observe': ['maintainer'],
  'own:log:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'own:log:write': ['maintainer', 'tester'],
  'log:reanalyse': ['maintainer'],
  'fleet:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'evidence:read': ['maintainer', 'reviewer', 'reader'],
  'people:read': ['maintainer', 'reviewer', 'reader'],
  'people:write': ['maintainer'],
  'audit:read': ['maintainer'],
  'own:request:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'own:request:answer': ['maintainer', 'tester'],
  'request:write': ['maintainer'],
  'release:read': ['maintainer', 'reviewer', 'reader'],
  'release:write': ['maintainer'],
  'own:offer:download': ['maintainer', 'tester'],
  'own:unit:read': ['maintainer', 'reviewer', 'reader', 'tester'],
  'own:unit:report': ['maintainer', 'tester'],
  'unit:read': ['maintainer', 'reviewer', 'reader'],
  'unit:write': ['maintainer'],
  'hook:read': ['maintainer'],
  'hook:write': ['maintainer'],
  'application:read': ['maintainer', 'reviewer'],
  'application:write': ['maintainer'],
} as const satisfies Record<string, readonly Role[]>;

export type Permission = keyof typeof PERMISSIONS;
export type Access = 'public' | Permission;

/** Whether a role holds a permission. */
export function mayDo(holder: Role, permission: Permission): boolean {
  return (PERMISSIONS[permission] as readonly Role[]).includes(holder);
}
