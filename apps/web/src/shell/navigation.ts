import { mayDo, type Role } from '@syncline/contract';

const MAINTENANCE = [
  { to: '/fleet', label: 'Fleet' },
  { to: '/shifts', label: 'Shifts' },
  { to: '/logs', label: 'Logs' },
  { to: '/vehicles', label: 'Vehicles' },
  { to: '/calibrations', label: 'Calibrations' },
  { to: '/compare', label: 'Compare' },
  { to: '/people', label: 'People' },
] as const;

const TESTING = [
  { to: '/home', label: 'My cars' },
  { to: '/logs/upload', label: 'Upload' },
  { to: '/logs', label: 'My drives' },
  { to: '/shifts', label: 'My shifts' },
  { to: '/fleet', label: 'Fleet' },
] as const;

export type NavigationEntry = (typeof MAINTENANCE)[number] | (typeof TESTING)[number];

/** The pages that a role works with: a tester gets a smaller house. */
export function navigationFor(role: Role): readonly NavigationEntry[] {
  return mayDo(role, 'calibration:read') ? MAINTENANCE : TESTING;
}
