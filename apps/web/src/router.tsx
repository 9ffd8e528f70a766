import type { QueryClient } from '@tanstack/react-query';
import {
  createRootRouteWithContext,
  createRoute,
  createRouter,
  lazyRouteComponent,
  Outlet,
  redirect,
} from '@tanstack/react-router';
import { BASE_PATH } from './api/base-path.js';
import { sessionQueries } from './api/session.js';
import { analysedLogSearch, analysisSearch } from './pages/analysis/analysis-search.js';
import { calibrationSearch } from './pages/calibration/calibration-search.js';
import { mergeSearch } from './pages/calibration/merge-search.js';
import { compareSearch } from './pages/compare/compare-search.js';
import { controlUnitsSearch } from './pages/control-units/control-units-search.js';
import { draftSearch } from './pages/draft/draft-search.js';
import { fleetSearch } from './pages/fleet/fleet-search.js';
import { logSearch } from './pages/log/log-search.js';
import { logsSearch } from './pages/logs/logs-search.js';
import { uploadSearch } from './pages/logs/upload-search.js';
import { peopleSearch } from './pages/people/people-search.js';
import { platformSearch } from './pages/platform/platform-search.js';
import { proposalSearch } from './pages/proposals/proposal-search.js';
import { recruitmentSearch } from './pages/recruitment/recruitment-search.js';
import { newReleaseSearch, releaseSearch, releasesSearch } from './pages/releases/releases-search.js';
import { requestsSearch } from './pages/requests/requests-search.js';
import { reviewsSearch } from './pages/review/reviews-search.js';
import { migrateSearch } from './pages/revision/migrate-search.js';
import { revisionSearch } from './pages/revision/revision-search.js';
import { shiftsSearch } from './pages/shifts/shifts-search.js';
import { signInSearch } from './pages/sign-in/sign-in-search.js';
import { vehiclesSearch } from './pages/vehicles/vehicles-search.js';
import { RowSkeletons } from './parts/skeletons.js';
import { AppFrame } from './shell/app-frame.js';
import { NotFound, PublicFault, PublicNotFound, PublicPending, RouteFault } from './shell/route-states.js';
import { parseSearch, stringifySearch } from './shell/search-parameters.js';

const root = createRootRouteWithContext<{ queryClient: QueryClient }>()({
  component: Outlet,
  errorComponent: PublicFault,
  notFoundComponent: PublicNotFound,
});

const setup = createRoute({
  getParentRoute: () => root,
  path: '/setup',
  component: lazyRouteComponent(() => import('./pages/setup/setup-page.js'), 'SetupPage'),
});

const signIn = createRoute({
  getParentRoute: () => root,
  path: '/sign-in',
  validateSearch: signInSearch,
  component: lazyRouteComponent(() => import('./pages/sign-in/sign-in-page.js'), 'SignInPage'),
});

const join = createRoute({
  getParentRoute: () => root,
  path: '/join/$secret',
  component: lazyRouteComponent(() => import('./pages/join/join-page.js'), 'JoinPage'),
});

const reset = createRoute({
  getParentRoute: () => root,
  path: '/reset/$secret',
  component: lazyRouteComponent(() => import('./pages/reset/reset-page.js'), 'ResetPage'),
});

const apply = createRoute({
  getParentRoute: () => root,
  path: '/apply',
  component: lazyRouteComponent(() => import('./pages/apply/apply-page.js'), 'ApplyPage'),
});

/** Everything behind sign-in. */
const house = createRoute({
  getParentRoute: () => root,
  id: 'house',
  component: AppFrame,
  pendingComponent: PublicPending,
  errorComponent: PublicFault,
  beforeLoad: async ({ context, location }) => {
    const session = await context.queryClient.ensureQueryData(sessionQueries.current());
    if (session === null) throw redirect({ to: '/sign-in', search: { to: location.href } });
    return { session };
  },
});

/** The first page depends on the role; the address then says which it is. */
const index = createRoute({
  getParentRoute: () => house,
  path: '/',
  beforeLoad: ({ context }) => {
    throw redirect({ to: context.session.person.role === 'tester' ? '/home' : '/fleet', replace: true });
  },
});

const home = createRoute({
  getParentRoute: () => house,
  path: '/home',
  component: lazyRouteComponent(() => import('./pages/home/home-page.js'), 'HomePage'),
});

const fleet = createRoute({
  getParentRoute: () => house,
  path: '/fleet',
  validateSearch: fleetSearch,
  component: lazyRouteComponent(() => import('./pages/fleet/fleet-page.js'), 'FleetPage'),
});

const shifts = createRoute({
  getParentRoute: () => house,
  path: '/shifts',
  validateSearch: shiftsSearch,
  component: lazyRouteComponent(() => import('./pages/shifts/shifts-page.js'), 'ShiftsPage'),
});

const vehicles = createRoute({
  getParentRoute: () => house,
  path: '/vehicles',
  validateSearch: vehiclesSearch,
  component: lazyRouteComponent(() => import('./pages/vehicles/vehicles-page.js'), 'VehiclesPage'),
});

const newVehicle = createRoute({
  getParentRoute: () => house,
  path: '/vehicles/new',
  component: lazyRouteComponent(() => import('./pages/vehicle/new-vehicle-page.js'), 'NewVehiclePage'),
});

const vehicle = createRoute({
  getParentRoute: () => house,
  path: '/vehicles/$vehicleId',
  component: lazyRouteComponent(() => import('./pages/vehicle/vehicle-page.js'), 'VehiclePage'),
});

const logs = createRoute({
  getParentRoute: () => house,
  path: '/logs',
  validateSearch: logsSearch,
  component: lazyRouteComponent(() => import('./pages/logs/logs-page.js'), 'LogsPage'),
});

const upload = createRoute({
  getParentRoute: () => house,
  path: '/logs/upload',
  validateSearch: uploadSearch,
  component: lazyRouteComponent(() => import('./pages/logs/upload-page.js'), 'UploadPage'),
});

const log = createRoute({
  getParentRoute: () => house,
  path: '/logs/$logId',
  validateSearch: logSearch,
  component: lazyRouteComponent(() => import('./pages/log/log-page.js'), 'LogPage'),
});

const report = createRoute({
  getParentRoute: () => house,
  path: '/logs/$logId/report',
  component: lazyRouteComponent(() => import('./pages/report/report-page.js'), 'ReportPage'),
});

const analysis = createRoute({
  getParentRoute: () => house,
  path: '/analysis',
  validateSearch: analysisSearch,
  component: lazyRouteComponent(() => import('./pages/analysis/analysis-page.js'), 'AnalysisPage'),
});

const analysedLog = createRoute({
  getParentRoute: () => house,
  path: '/analysis/$runId/logs/$logId',
  validateSearch: analysedLogSearch,
  component: lazyRouteComponent(() => import('./pages/analysis/analysed-log-page.js'), 'AnalysedLogPage'),
});

const calibrations = createRoute({
  getParentRoute: () => house,
  path: '/calibrations',
  component: lazyRouteComponent(() => import('./pages/calibration/calibrations-page.js'), 'CalibrationsPage'),
});

const calibration = createRoute({
  getParentRoute: () => house,
  path: '/calibrations/$calibrationId',
  validateSearch: calibrationSearch,
  component: lazyRouteComponent(() => import('./pages/calibration/calibration-page.js'), 'CalibrationPage'),
});

const revision = createRoute({
  getParentRoute: () => house,
  path: '/revisions/$revisionId',
  validateSearch: revisionSearch,
  component: lazyRouteComponent(() => import('./pages/revision/revision-page.js'), 'RevisionPage'),
});

const merge = createRoute({
  getParentRoute: () => house,
  path: '/calibrations/$calibrationId/merge',
  validateSearch: mergeSearch,
  component: lazyRouteComponent(() => import('./pages/calibration/merge-page.js'), 'MergePage'),
});

const migrate = createRoute({
  getParentRoute: () => house,
  path: '/revisions/$revisionId/migrate',
  validateSearch: migrateSearch,
  component: lazyRouteComponent(() => import('./pages/revision/migrate-page.js'), 'MigratePage'),
});

const reviews = createRoute({
  getParentRoute: () => house,
  path: '/reviews',
  validateSearch: reviewsSearch,
  component: lazyRouteComponent(() => import('./pages/review/reviews-page.js'), 'ReviewsPage'),
});

const draft = createRoute({
  getParentRoute: () => house,
  path: '/drafts/$draftId',
  validateSearch: draftSearch,
  component: lazyRouteComponent(() => import('./pages/draft/draft-page.js'), 'DraftPage'),
});

const proposal = createRoute({
  getParentRoute: () => house,
  path: '/proposals/$proposalId',
  validateSearch: proposalSearch,
  component: lazyRouteComponent(() => import('./pages/proposals/proposal-page.js'), 'ProposalPage'),
});

const compare = createRoute({
  getParentRoute: () => house,
  path: '/compare',
  validateSearch: compareSearch,
  component: lazyRouteComponent(() => import('./pages/compare/compare-page.js'), 'ComparePage'),
});

const platforms = createRoute({
  getParentRoute: () => house,
  path: '/platforms',
  component: lazyRouteComponent(() => import('./pages/platform/platforms-page.js'), 'PlatformsPage'),
});

const platform = createRoute({
  getParentRoute: () => house,
  path: '/platforms/$platformId',
  validateSearch: platformSearch,
  component: lazyRouteComponent(() => import('./pages/platform/platform-page.js'), 'PlatformPage'),
});

const releases = createRoute({
  getParentRoute: () => house,
  path: '/releases',
  validateSearch: releasesSearch,
  component: lazyRouteComponent(() => import('./pages/releases/releases-page.js'), 'ReleasesPage'),
});

const newRelease = createRoute({
  getParentRoute: () => house,
  path: '/releases/new',
  validateSearch: newReleaseSearch,
  component: lazyRouteComponent(() => import('./pages/releases/new-release-page.js'), 'NewReleasePage'),
});

const release = createRoute({
  getParentRoute: () => house,
  path: '/releases/$releaseId',
  validateSearch: releaseSearch,
  component: lazyRouteComponent(() => import('./pages/releases/release-page.js'), 'ReleasePage'),
});

const controlUnits = createRoute({
  getParentRoute: () => house,
  path: '/control-units',
  validateSearch: controlUnitsSearch,
  component: lazyRouteComponent(() => import('./pages/control-units/control-units-page.js'), 'ControlUnitsPage'),
});

const requests = createRoute({
  getParentRoute: () => house,
  path: '/requests',
  validateSearch: requestsSearch,
  component: lazyRouteComponent(() => import('./pages/requests/requests-page.js'), 'RequestsPage'),
});

const recruitment = createRoute({
  getParentRoute: () => house,
  path: '/recruitment',
  validateSearch: recruitmentSearch,
  component: lazyRouteComponent(() => import('./pages/recruitment/recruitment-page.js'), 'RecruitmentPage'),
});

const people = createRoute({
  getParentRoute: () => house,
  path: '/people',
  validateSearch: peopleSearch,
  component: lazyRouteComponent(() => import('./pages/people/people-page.js'), 'PeoplePage'),
});

const account = createRoute({
  getParentRoute: () => house,
  path: '/account',
  component: lazyRouteComponent(() => import('./pages/account/account-page.js'), 'AccountPage'),
});

const routeTree = root.addChildren([
  setup,
  signIn,
  join,
  reset,
  apply,
  house.addChildren([
    index,
    home,
    fleet,
    shifts,
    vehicles,
    newVehicle,
    vehicle,
    logs,
    upload,
    log,
    report,
    analysis,
    analysedLog,
    calibrations,
    calibration,
    revision,
    merge,
    migrate,
    draft,
    reviews,
    proposal,
    compare,
    platforms,
    platform,
    releases,
    newRelease,
    release,
    controlUnits,
    requests,
    recruitment,
    people,
    account,
  ]),
]);

/** The routes of the product. The address of a page is its whole view: path, filters, selection, zoom. */
export function createAppRouter(queryClient: QueryClient) {
  return createRouter({
    routeTree,
    basepath: BASE_PATH,
    context: { queryClient },
    parseSearch,
    stringifySearch,
    scrollRestoration: true,
    defaultPreload: 'intent',
    defaultPendingMs: 300,
    defaultPendingComponent: RowSkeletons,
    defaultErrorComponent: RouteFault,
    defaultNotFoundComponent: NotFound,
  });
}

declare module '@tanstack/react-router' {
  interface Register {
    router: ReturnType<typeof createAppRouter>;
  }
}
