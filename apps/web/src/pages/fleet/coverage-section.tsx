import { Button, Title } from '@mantine/core';
import type { CoverageResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { fleetQueries } from '../../api/fleet.js';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { type CoverageGap, coverageGaps, describeGap } from './coverage-gaps.js';
import { type FleetView, filterOf, shiftsBehind } from './fleet-view.js';
import classes from './lists.module.css';

type Cell = CoverageResponse['cells'][number];
const SHOWN = 5;

/** Where no one, or hardly anyone, has driven yet. */
export function CoverageSection({ view }: { readonly view: FleetView }) {
  const { platform, revision, program } = view;
  const query = useQuery(fleetQueries.coverage(filterOf(view)));
  return (
    <Section
      title={<HelpTerm term="coverage">Coverage gaps</HelpTerm>}
      note={
        query.data &&
        `A point needs ${counted(query.data.neededShifts, 'shift')} in ${counted(query.data.neededVehicles, 'car')}.`
      }
      actions={
        <CsvButton
          fileName={csvFileName('coverage', platform, revision, program)}
          columns={query.data === undefined ? [] : csvColumns(query.data)}
          rows={query.data?.cells ?? []}
        />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ cells }) => cells.length === 0}
        empty="Every operating point has enough shifts and cars."
      >
        {(coverage) => <Gaps coverage={coverage} view={view} />}
      </QueryView>
    </Section>
  );
}

function Gaps({ coverage, view }: { readonly coverage: CoverageResponse; readonly view: FleetView }) {
  const { never, thin } = useMemo(() => coverageGaps(coverage), [coverage]);
  return (
    <>
      <GapList title="Driven too little" gaps={thin} view={view} />
      <GapList title="Never driven" gaps={never} view={view} />
    </>
  );
}

interface GapListProps {
  readonly title: string;
  readonly gaps: readonly CoverageGap[];
  readonly view: FleetView;
}

function GapList({ title, gaps, view }: GapListProps) {
  const [isAll, setAll] = useState(false);
  if (gaps.length === 0) return null;
  return (
    <>
      <Title order={3} mt="sm" mb={2}>
        {title}
      </Title>
      <ul className={classes.list}>
        {gaps.slice(0, isAll ? undefined : SHOWN).map((gap) => (
          <GapLine key={describeGap(gap)} gap={gap} view={view} />
        ))}
      </ul>
      {gaps.length > SHOWN && (
        <Button variant="subtle" size="compact-sm" mb="sm" onClick={() => setAll(!isAll)}>
          {isAll ? 'Show fewer' : `Show all ${formatCount(gaps.length)}`}
        </Button>
      )}
    </>
  );
}

function GapLine({ gap, view }: { readonly gap: CoverageGap; readonly view: FleetView }) {
  const isTester = useSession().person.role === 'tester';
  const { kind, fromLoad: load, fluidTemperature, shifts, vehicles } = gap;
  // The few shifts at a gap are mostly those of others, which a tester does not see.
  if (shifts === 0 || isTester) {
    return (
      <li className={classes.line}>
        {describeGap(gap)}
        {shifts > 0 && <Side shifts={shifts} vehicles={vehicles} />}
      </li>
    );
  }
  return (
    <li className={classes.line}>
      <TextLink to="/shifts" search={shiftsBehind(view, { kind, load, fluidTemperature })}>
        {describeGap(gap)}
      </TextLink>
      <Side shifts={shifts} vehicles={vehicles} />
    </li>
  );
}

function Side({ shifts, vehicles }: Pick<CoverageGap, 'shifts' | 'vehicles'>) {
  return (
    <span className={classes.side}>
      {counted(shifts, 'shift')} in {counted(vehicles, 'car')}
    </span>
  );
}

function csvColumns({ loadBands, fluidTemperatureBands }: CoverageResponse) {
  const label = (bands: CoverageResponse['loadBands'], index: number) =>
    bands.find((band) => band.index === index)?.label ?? null;
  return [
    { header: 'shift', cell: ({ kind }: Cell) => kind },
    { header: 'load band', cell: ({ loadBand }: Cell) => label(loadBands, loadBand) },
    {
      header: 'fluid temperature band',
      cell: ({ fluidTemperatureBand }: Cell) => label(fluidTemperatureBands, fluidTemperatureBand),
    },
    { header: 'shifts', cell: ({ shifts }: Cell) => shifts },
    { header: 'vehicles', cell: ({ vehicles }: Cell) => vehicles },
  ];
}
