import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { fleetQueries } from '../../api/fleet.js';
import { platformQueries } from '../../api/platforms.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RowSkeletons } from '../../parts/skeletons.js';
import { useOncePainted } from '../../parts/use-once-painted.js';
import { RunningRollout } from '../releases/running-rollout.js';
import { CoverageSection } from './coverage-section.js';
import classes from './fleet.module.css';
import { FleetFilters } from './fleet-filters.js';
import type { FleetSearch } from './fleet-search.js';
import { type FleetView, filterOf, toView } from './fleet-view.js';
import { MatrixSection } from './matrix-section.js';
import { NewestLogs } from './newest-logs.js';
import { OverviewLine } from './overview-line.js';
import { TemperatureSection } from './temperature-section.js';
import { TrendSection } from './trend-section.js';
import { useFleetMatrix } from './use-fleet-matrix.js';
import { VehiclesSection } from './vehicles-section.js';

/** Where the fleet flares or binds, whether the last revision helped, which cars are odd, and where no one has driven. */
export function FleetPage() {
  const search = useSearch({ from: '/house/fleet' });
  const platforms = useQuery(platformQueries.list());
  const platform = search.platform ?? platforms.data?.items[0]?.id;
  return (
    <>
      <PageHead title="Fleet" lead={platform === undefined ? '\u00a0' : <OverviewLine platform={platform} />} />
      <QueryView query={platforms} isEmpty={({ items }) => items.length === 0} empty={<NoPlatform />}>
        {() => platform !== undefined && <Evidence search={search} view={toView(search, platform)} />}
      </QueryView>
    </>
  );
}

function Evidence({ search, view }: { readonly search: FleetSearch; readonly view: FleetView }) {
  const navigate = useNavigate();
  const bands = useQuery(fleetQueries.coverage(filterOf(view))).data?.fluidTemperatureBands ?? [];
  const fluidTemperature = bands.find(({ index }) => index === view.fluidTemperatureBand);
  // The matrix was answered, well or badly: what stands around it is drawn after it.
  const hasMatrix = useOncePainted(!useFleetMatrix(view).isPending);
  const onChange = (change: FleetSearch) =>
    void navigate({ to: '/fleet', search: { ...search, ...change }, resetScroll: false });
  return (
    <>
      <div className={classes.filters}>
        {hasMatrix && <FleetFilters view={view} fluidTemperatureBands={bands} onChange={onChange} />}
      </div>
      <div className={classes.columns}>
        <div>
          <MatrixSection view={view} fluidTemperature={fluidTemperature} />
          {hasMatrix ? (
            <>
              <RunningRollout platform={view.platform} />
              <TemperatureSection view={view} bands={bands} onChange={onChange} />
              <VehiclesSection view={view} fluidTemperature={fluidTemperature} />
            </>
          ) : (
            <RowSkeletons />
          )}
        </div>
        <div>
          {hasMatrix ? (
            <>
              <TrendSection view={view} fluidTemperature={fluidTemperature} />
              <CoverageSection view={view} />
              <NewestLogs />
            </>
          ) : (
            <RowSkeletons />
          )}
        </div>
      </div>
    </>
  );
}

function NoPlatform() {
  return (
    <EmptyState title="No gearbox is known yet">
      A maintainer describes a platform first: gears and ratios, clutches, shifts, programs. It is sent to the API as
      one document; cars, drives and calibrations then refer to it.
    </EmptyState>
  );
}
