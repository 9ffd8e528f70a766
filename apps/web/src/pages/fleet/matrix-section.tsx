import type { MatrixResponse, Rate } from '@syncline/contract';
import type { UseQueryResult } from '@tanstack/react-query';
import { useState } from 'react';
import { matrixCsvUrl } from '../../api/fleet.js';
import { csvFileName } from '../../format/csv.js';
import { describeRate } from '../../format/rate.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { ButtonLink } from '../../parts/text-link.js';
import type { FleetView } from './fleet-view.js';
import classes from './matrix.module.css';
import { MatrixLegend } from './matrix-legend.js';
import { MatrixTable } from './matrix-table.js';

interface MatrixSectionProps {
  readonly view: FleetView;
  readonly query: UseQueryResult<MatrixResponse>;
}

/** The evidence of the page: rate of one measure by shift and load. */
export function MatrixSection({ view, query }: MatrixSectionProps) {
  const { measure } = view;
  return (
    <Section
      title={
        <>
          <HelpTerm term={measure}>{MEASURE_WORDS[measure]}</HelpTerm> by <HelpTerm term="shift">shift</HelpTerm> and{' '}
          <HelpTerm term="load">load</HelpTerm>
        </>
      }
      actions={
        <CsvButton
          href={matrixCsvUrl(view)}
          fileName={csvFileName('matrix', measure, view.platform, view.revision, view.program)}
        />
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={440} />}
        isEmpty={({ rows }) => rows.length === 0}
        empty={<NoShifts />}
      >
        {(matrix) => <ReadMatrix matrix={matrix} view={view} isOld={query.isPlaceholderData} />}
      </QueryView>
    </Section>
  );
}

interface ReadMatrixProps {
  readonly matrix: MatrixResponse;
  readonly view: FleetView;
  /** Whether newer figures are on their way; these are then dimmed. */
  readonly isOld: boolean;
}

function ReadMatrix({ matrix, view, isOld }: ReadMatrixProps) {
  const [pointed, setPointed] = useState<string | null>(null);
  const fluidTemperature = matrix.fluidTemperatureBands.find(({ index }) => index === view.fluidTemperatureBand);
  return (
    <>
      <div className={classes.readout}>
        {pointed ?? <Total rate={matrix.total} word={MEASURE_WORDS[matrix.measure]} />}
      </div>
      <div className={classes.scroll} style={{ opacity: isOld ? 0.5 : 1 }} aria-busy={isOld}>
        <MatrixTable matrix={matrix} view={view} fluidTemperature={fluidTemperature} onPoint={setPointed} />
      </div>
      <MatrixLegend matrix={matrix} />
    </>
  );
}

function Total({ rate, word }: { readonly rate: Rate; readonly word: string }) {
  return (
    <>
      {describeRate(rate, `${word} rate over all`)}.{' '}
      <span className={classes.hint}>
        Point at a cell for its counts and interval; open it for the shifts behind it.
      </span>
    </>
  );
}

function NoShifts() {
  return (
    <EmptyState title="No graded shift yet" action={<ButtonLink to="/logs/upload">Upload drives</ButtonLink>}>
      As soon as a drive is analysed, its shifts stand here.
    </EmptyState>
  );
}
