import { variantParts } from '@syncline/calibration';
import type { CommandedMapResponse, LayoutDocument, PlatformDocument, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import type { GridPlace } from '../../charts/grid-place.js';
import { RampKey } from '../../charts/ramp-key.js';
import { ValueGrid } from '../../charts/value-grid.js';
import { csvFileName } from '../../format/csv.js';
import { formatNumber, formatQuantity, fullValue } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { cssColour, inkOn, sequentialColour } from '../../theme/palette.js';
import classes from './commanded.module.css';
import { mapAxes, mapCsvColumns, mapCsvRows, nearestPlace } from './commanded-map.js';
import { CommandedPoint } from './commanded-point.js';
import { askableRules, conditionWords, mapQueryOf, type OperatingPoint, operatingPointOf } from './operating-point.js';
import { OperatingPointFields } from './operating-point-fields.js';
import { revisionLabel } from './revision-label.js';
import type { OperatingPointSearch } from './revision-search.js';
import { extentOf, tableView } from './table-view.js';
import { useRevisionView } from './use-revision-view.js';

interface CommandedSectionProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** What the tables command together: over load and input speed, and at one operating point with each table's share. */
export function CommandedSection({ revision, layout, platform }: CommandedSectionProps) {
  const { search, change } = useRevisionView();
  const point = operatingPointOf(layout, platform, followTable(search, layout, platform, revision));
  const map = useQuery({
    ...calibrationQueries.commandedMap(revision.id, point === undefined ? { rule: '' } : mapQueryOf(point)),
    enabled: point !== undefined,
  });
  if (point === undefined) return null;
  return (
    <Section
      title="Commanded quantity"
      note={<CommandedNote point={point} layout={layout} />}
      actions={
        <CsvButton
          fileName={csvFileName(
            revisionLabel(revision),
            point.rule.id,
            point.shift,
            point.program,
            `${point.fluidTemperature}-C`,
          )}
          columns={mapCsvColumns(point.rule.title, point.rule.unit)}
          rows={map.data === undefined || map.isPlaceholderData ? [] : mapCsvRows(map.data)}
        />
      }
    >
      <div className={classes.commanded}>
        <OperatingPointFields layout={layout} platform={platform} point={point} onChange={change} hasPlace />
        <div className={classes.map}>
          <h3>
            {point.rule.title} ({point.rule.unit})
          </h3>
          <p className={classes.condition}>{conditionWords(point, platform)}</p>
          <QueryView
            query={map}
            skeleton={<BlockSkeleton height={260} />}
            isEmpty={({ values }) => values.length === 0}
            empty={<EmptyState title="Nothing is commanded">The rule has no break points to be asked at.</EmptyState>}
          >
            {(found) => (
              <div style={{ opacity: map.isPlaceholderData ? 0.5 : 1 }} aria-busy={map.isPlaceholderData}>
                <CommandedMap map={found} point={point} onMove={change} />
              </div>
            )}
          </QueryView>
        </div>
        <CommandedPoint revision={revision} platform={platform} layout={layout} point={point} />
      </div>
    </Section>
  );
}

/** The shift of the table that is looked at is the shift asked for, unless the address names another. */
function followTable(
  search: OperatingPointSearch & { table?: string | undefined; variant?: string | undefined },
  layout: LayoutDocument,
  platform: PlatformDocument,
  revision: RevisionResponse,
): OperatingPointSearch {
  const view = tableView(layout, platform, revision.content, search);
  if (view === undefined) return search;
  const { shift, program } = variantParts(view.spec, view.variant);
  return { ...search, shift: search.shift ?? shift, program: search.program ?? program };
}

/** How to read the section, and which rules cannot be asked here. */
export function CommandedNote({ point, layout }: { readonly point: OperatingPoint; readonly layout: LayoutDocument }) {
  const askable = askableRules(layout);
  const others = layout.rules.filter((rule) => !askable.includes(rule)).map(({ title }) => title.toLowerCase());
  return (
    <>
      What all tables of a rule make together over <HelpTerm term="load">load</HelpTerm> and input speed.
      {point.isAtLockedConverter && ' Engine speed is taken as input speed, as with a locked converter.'}
      {others.length > 0 && ` Not drawn, because it depends on more than these: ${others.join('; ')}.`}
    </>
  );
}

interface CommandedMapProps {
  readonly map: CommandedMapResponse;
  readonly point: OperatingPoint;
  readonly onMove: (part: OperatingPointSearch) => void;
}

/** The map at its break points. The chosen cell is the node nearest to the operating point; choosing one moves it there. */
function CommandedMap({ map, point, onMove }: CommandedMapProps) {
  const [low, high] = extentOf(map.values);
  const { rowAxis, columnAxis } = mapAxes(map);
  return (
    <>
      <ValueGrid
        label={`${map.title}, ${map.unit}`}
        rowAxis={rowAxis}
        columnAxis={columnAxis}
        chosen={nearestPlace(map, point)}
        onChoose={({ row, column }) => onMove({ load: map.load[row], speed: map.inputSpeed[column] })}
        cellAt={(place) => {
          const value = valueAt(map, place);
          const colour = high > low ? sequentialColour((value - low) / (high - low)) : undefined;
          return {
            text: formatNumber(value, 0),
            background: colour === undefined ? 'var(--surface)' : cssColour(colour),
            ink: colour === undefined ? 'var(--ink)' : inkOn(colour),
            description: `Load ${map.load[place.row]} %, input speed ${map.inputSpeed[place.column]} rpm; ${formatQuantity(value, map.unit)}`,
            title: fullValue(value, map.unit),
          };
        }}
      />
      {high > low && (
        <div className={classes.key}>
          <RampKey low={formatQuantity(low, '', 0)} high={formatQuantity(high, map.unit)} colourAt={sequentialColour} />
          <span>ring: node nearest to the operating point</span>
        </div>
      )}
    </>
  );
}

function valueAt(map: CommandedMapResponse, { row, column }: GridPlace): number {
  return map.values[row * map.inputSpeed.length + column] as number;
}
