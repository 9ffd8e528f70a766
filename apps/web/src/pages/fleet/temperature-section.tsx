import { Button } from '@mantine/core';
import type { Band } from '@syncline/contract';
import { useMemo } from 'react';
import { csvFileName } from '../../format/csv.js';
import { measureWord } from '../../format/measured.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Folded } from '../../parts/folded.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { useScheme } from '../../theme/use-scheme.js';
import type { FleetSearch } from './fleet-search.js';
import type { FleetView } from './fleet-view.js';
import { cellLook, colourScale } from './matrix-colour.js';
import type { TemperaturePanel } from './matrix-figure.js';
import { MatrixLegend } from './matrix-legend.js';
import { MiniMatrix } from './mini-matrix.js';
import classes from './temperature.module.css';
import { type PanelCell, panelCells, panelKinds } from './temperature-cells.js';
import { useTemperaturePanels } from './use-fleet-matrix.js';

interface TemperatureSectionProps {
  readonly view: FleetView;
  readonly bands: readonly Band[];
  readonly onChange: (change: FleetSearch) => void;
}

/** The matrix once for each band of fluid temperature, small and on one scale; a press narrows the page to a band. */
export function TemperatureSection({ view, bands, onChange }: TemperatureSectionProps) {
  const { panels, error, retry } = useTemperaturePanels(view, bands);
  const cells = useMemo(() => panelCells(panels ?? []), [panels]);
  const chosen = view.fluidTemperatureBand;
  const word = measureWord(view.measure);
  return (
    <Section
      title={`${word} by fluid temperature`}
      note="Rows and columns are those of the matrix above, on one colour scale for all temperatures. Press one to narrow the page to it."
      actions={
        <>
          {chosen !== undefined && (
            <Button variant="subtle" size="compact-sm" onClick={() => onChange({ fluid: undefined })}>
              All temperatures
            </Button>
          )}
          <CsvButton
            fileName={csvFileName('temperatures', view.measure, view.platform, view.revision)}
            columns={CSV_COLUMNS}
            rows={cells}
          />
        </>
      }
    >
      {error !== null && <ProblemNotice error={error} onRetry={retry} />}
      {panels === undefined ? (
        error === null && <BlockSkeleton height={200} />
      ) : (
        <>
          <Panels panels={panels} chosen={chosen} onChoose={(fluid) => onChange({ fluid })} />
          <MatrixLegend
            scale={colourScale(panels.map(({ matrix }) => matrix))}
            isRate={panels.every(({ matrix }) => matrix.isRate)}
          />
          <Folded summary="As a table">
            {() => (
              <DataTable
                label={`${word} by fluid temperature, shift and load`}
                columns={TABLE_COLUMNS}
                rows={cells}
                rowId={({ key }) => key}
              />
            )}
          </Folded>
        </>
      )}
    </Section>
  );
}

interface PanelsProps {
  readonly panels: readonly TemperaturePanel[];
  readonly chosen: number | undefined;
  readonly onChoose: (band: number | undefined) => void;
}

function Panels({ panels, chosen, onChoose }: PanelsProps) {
  const scheme = useScheme();
  const scale = useMemo(() => colourScale(panels.map(({ matrix }) => matrix)), [panels]);
  const kinds = useMemo(() => panelKinds(panels), [panels]);
  return (
    <div className={classes.panels}>
      {panels.map(({ band, matrix }) => {
        const isChosen = band.index === chosen;
        return (
          <button
            key={band.index}
            type="button"
            className={classes.panel}
            aria-pressed={isChosen}
            onClick={() => onChoose(isChosen ? undefined : band.index)}
          >
            <span className={classes.band}>
              {isChosen && '● '}
              {band.label}
            </span>
            <MiniMatrix matrix={matrix} kinds={kinds} lookOf={(figure) => cellLook(figure, scale, scheme)} />
            <span className={classes.total}>
              {matrix.total.main} <span className={classes.side}>{matrix.total.side}</span>
            </span>
          </button>
        );
      })}
    </div>
  );
}

const TABLE_COLUMNS: readonly DataColumn<PanelCell>[] = [
  { id: 'temperature', title: 'Fluid', isShort: true, render: ({ band }) => band.label },
  { id: 'kind', title: 'Shift', isShort: true, render: ({ kind }) => kind },
  { id: 'load', title: 'Load', isShort: true, render: ({ load }) => load?.label ?? 'all loads' },
  { id: 'main', title: 'Figure', isNumber: true, render: ({ figure }) => figure.main },
  { id: 'side', title: 'Evidence', render: ({ figure }) => `${figure.side} ${figure.spoken}` },
];

const CSV_COLUMNS = [
  { header: 'fluid temperature band', cell: ({ band }: PanelCell) => band.label },
  { header: 'shift', cell: ({ kind }: PanelCell) => kind },
  { header: 'load band', cell: ({ load }: PanelCell) => load?.label ?? 'all loads' },
  { header: 'rate (share) or median (unit of the measure)', cell: ({ figure }: PanelCell) => figure.value },
  { header: 'evidence', cell: ({ figure }: PanelCell) => `${figure.side} ${figure.spoken}` },
];
