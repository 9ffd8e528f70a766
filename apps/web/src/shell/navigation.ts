import { mayDo, type Role } from '@syncline/contract';

const MAINTENANCE = [
  { to: '/fleet', label: 'Fleet' },
  { to: '/shifts', label: 'Shifts' },
  { to: '/logs', label: 'Logs' },
  { to: '/vehicles', label: 'Vehicles' },
  { to: '/calibrations', label: 'Calibrations' },
  { to: '/compare', label: 'Compare' },
  { to: '/reviews', label: 'Reviews' },
  { to: '/releases', label: 'Releases' },
  { to: '/platforms', label: 'Gearboxes' },
  { to: '/requests', label: 'Requests' },
  { to: '/control-units', label: 'Control units' },
  { to: '/recruitment', label: 'Recruitment' },
  { to: '/people', label: 'People' },
] as const;

/** Behind the maintenance of a reviewer, for who may reanalyse. */
const ANALYSIS = { to: '/analysis', label: 'Analysis' } as const;

const TESTING = [
  { to: '/home', label: 'My cars' },
  { to: '/requests', label: 'My requests' },
  { to: '/control-units', label: 'My units' },
  { to: '/logs/upload', label: 'Upload' },
  { to: '/logs', label: 'My drives' },
  { to: '/shifts', label: 'My shifts' },
  { to: '/fleet', label: 'Fleet' },
] as const;

export type NavigationEntry = (typeof MAINTENANCE)[number] | typeof ANALYSIS | (typeof TESTING)[number];

/** The pages that a role works with: a tester gets a smaller house. */
export function navigationFor(role: Role): readonly NavigationEntry[] {
  if (!mayDo(role, 'calibration:read')) return TESTING;
  const pages = MAINTENANCE.filter(({ to }) => to !== '/recruitment' || mayDo(role, 'application:read'));
  return mayDo(role, 'log:reanalyse') ? [...pages, ANALYSIS] : pages;
}
