import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { fleetQueries } from '../../api/fleet.js';
import { platformQueries } from '../../api/platforms.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { CoverageSection } from './coverage-section.js';
import classes from './fleet.module.css';
import { FleetFilters } from './fleet-filters.js';
import type { FleetSearch } from './fleet-search.js';
import type { FleetView } from './fleet-view.js';
import { MatrixSection } from './matrix-section.js';
import { NewestLogs } from './newest-logs.js';
import { OverviewLine } from './overview-line.js';
import { TrendSection } from './trend-section.js';
import { VehiclesSection } from './vehicles-section.js';

/** Where the fleet flares or binds, whether the last revision helped, which cars are odd, and where no one has driven. */
export function FleetPage() {
  const search = useSearch({ from: '/house/fleet' });
  const platforms = useQuery(platformQueries.list());
  const platform = search.platform ?? platforms.data?.items[0]?.id;
  return (
    <>
      <PageHead title="Fleet" lead={platform !== undefined && <OverviewLine platform={platform} />} />
      <QueryView query={platforms} isEmpty={({ items }) => items.length === 0} empty={<NoPlatform />}>
        {() => platform !== undefined && <Evidence view={toView(search, platform)} />}
      </QueryView>
    </>
  );
}

function toView(search: FleetSearch, platform: string): FleetView {
  const { measure = 'flare', revision, program, fluid } = search;
  return { platform, measure, revision, program, fluidTemperatureBand: fluid };
}

function Evidence({ view }: { readonly view: FleetView }) {
  const navigate = useNavigate();
  const matrix = useQuery(fleetQueries.matrix(view));
  const onChange = (change: FleetSearch) =>
    void navigate({ to: '/fleet', search: (now) => ({ ...now, ...change }), resetScroll: false });
  return (
    <>
      <FleetFilters view={view} fluidTemperatureBands={matrix.data?.fluidTemperatureBands ?? []} onChange={onChange} />
      <div className={classes.columns}>
        <div>
          <MatrixSection view={view} query={matrix} />
          <VehiclesSection view={view} />
        </div>
        <div>
          <TrendSection view={view} />
          <CoverageSection view={view} />
          <NewestLogs />
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
