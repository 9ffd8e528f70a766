import { TERN_PLATFORM } from '@syncline/drivetrain';

/** What of a member a page is about. */
export interface PageOf {
  readonly vehicleId: string;
  readonly logId: string;
}

/** A page as the requests that a browser makes for it, below `/api/v1`. */
interface Page {
  readonly title: string;
  /** How often it is opened beside the others. */
  readonly weight: number;
  readonly paths: (of: PageOf) => readonly string[];
}

const platform = `platform=${TERN_PLATFORM.id}`;

/** The pages that a tester opens, with what `apps/web` asks for on each. */
export const TESTER_PAGES: readonly Page[] = [
  {
    title: 'home',
    weight: 3,
    paths: ({ vehicleId }) => ['/vehicles', '/logs?limit=8', `/vehicles/${vehicleId}/offer`, '/requests?state=open'],
  },
  {
    title: 'own vehicle',
    weight: 2,
    paths: ({ vehicleId }) => [
      `/vehicles/${vehicleId}`,
      `/vehicles/${vehicleId}/offer`,
      `/vehicles/${vehicleId}/dialect`,
      `/logs?vehicle=${vehicleId}&limit=8`,
      `/vehicles/${vehicleId}/signal-map?format=csv`,
    ],
  },
  {
    title: 'log',
    weight: 3,
    paths: ({ logId }) => [
      `/logs/${logId}`,
      `/logs/${logId}/shifts`,
      `/logs/${logId}/notes`,
      `/logs/${logId}/signals?signals=inputSpeed,outputSpeed,engineSpeed&points=800`,
    ],
  },
  {
    title: 'shift list',
    weight: 2,
    paths: () => ['/shifts?limit=50', '/shifts/facets', '/shifts/distribution?quantity=flareRpm'],
  },
  {
    title: 'fleet',
    weight: 2,
    paths: () => [
      `/fleet/overview?${platform}`,
      `/fleet/matrix?${platform}&measure=flare`,
      `/fleet/coverage?${platform}`,
      `/fleet/trend?${platform}&measure=flare`,
    ],
  },
  { title: 'report', weight: 1, paths: ({ logId }) => [`/logs/${logId}/report`] },
  {
    title: 'installations and units',
    weight: 1,
    paths: ({ vehicleId }) => [`/vehicles/${vehicleId}`, '/control-units'],
  },
];

/** A path with `:id` for ids, without what is asked of it. */
export function routeOf(path: string): string {
  return path.replace(/\?.*/, '').replace(/\/[0-9a-f]{8}-[0-9a-f-]{27}/g, '/:id');
}
