import type { Band } from '@syncline/contract';
import { useState } from 'react';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { measureWord } from '../../format/measured.js';
import { CsvButton } from '../../parts/csv-button.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { ButtonLink } from '../../parts/text-link.js';
import type { FleetView } from './fleet-view.js';
import classes from './matrix.module.css';
import { colourScale } from './matrix-colour.js';
import type { FleetMatrix } from './matrix-figure.js';
import { MatrixLegend } from './matrix-legend.js';
import { MatrixTable } from './matrix-table.js';
import { fleetMatrixCsvUrl, useFleetMatrix } from './use-fleet-matrix.js';

interface MatrixSectionProps {
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
}

/** The evidence of the page: one measure by shift and load. */
export function MatrixSection({ view, fluidTemperature }: MatrixSectionProps) {
  const { measure } = view;
  const query = useFleetMatrix(view);
  return (
    <Section
      title={
        <>
          <HelpTerm term={measure}>{measureWord(measure)}</HelpTerm> by <HelpTerm term="shift">shift</HelpTerm> and{' '}
          <HelpTerm term="load">load</HelpTerm>
          {fluidTemperature !== undefined && `, fluid ${fluidTemperature.label}`}
        </>
      }
      actions={
        <CsvButton
          href={fleetMatrixCsvUrl(view)}
          fileName={csvFileName('matrix', measure, view.platform, view.revision, view.program)}
        />
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={440} />}
        isEmpty={({ rows }) => rows.length === 0}
        empty={<NoShifts isNarrowed={isNarrowed(view)} />}
      >
        {(matrix) => (
          <ReadMatrix matrix={matrix} view={view} fluidTemperature={fluidTemperature} isOld={query.isPlaceholderData} />
        )}
      </QueryView>
    </Section>
  );
}

interface ReadMatrixProps extends MatrixSectionProps {
  readonly matrix: FleetMatrix;
  /** Whether newer figures are on their way; these are then dimmed. */
  readonly isOld: boolean;
}

function ReadMatrix({ matrix, view, fluidTemperature, isOld }: ReadMatrixProps) {
  const [pointed, setPointed] = useState<string | null>(null);
  return (
    <>
      <div className={classes.readout}>{pointed ?? <Total matrix={matrix} />}</div>
      <div className={classes.scroll} style={{ opacity: isOld ? 0.5 : 1 }} aria-busy={isOld}>
        <MatrixTable matrix={matrix} view={view} fluidTemperature={fluidTemperature} onPoint={setPointed} />
      </div>
      <MatrixLegend scale={colourScale([matrix])} isRate={matrix.isRate} />
    </>
  );
}

function Total({ matrix: { total } }: { readonly matrix: FleetMatrix }) {
  const isTester = useSession().person.role === 'tester';
  return (
    <>
      {total.describe('Over all')}.{' '}
      <span className={classes.hint}>
        {isTester
          ? 'The figures are of all cars; a cell opens your own shifts there.'
          : 'Point at a cell for its evidence in words; open it for the shifts behind it.'}
      </span>
    </>
  );
}

function isNarrowed({ revision, program, fluidTemperatureBand, dialect, engine }: FleetView): boolean {
  return [revision, program, fluidTemperatureBand, dialect, engine].some((value) => value !== undefined);
}

function NoShifts({ isNarrowed: isFiltered }: { readonly isNarrowed: boolean }) {
  if (isFiltered) {
    return (
      <EmptyState title="Nothing was driven there">
        Take a filter away: no shift of these cars was graded with this revision, program and temperature.
      </EmptyState>
    );
  }
  return (
    <EmptyState title="No graded shift yet" action={<ButtonLink to="/logs/upload">Upload drives</ButtonLink>}>
      As soon as a drive is analysed, its shifts stand here.
    </EmptyState>
  );
}
