import { VisuallyHidden } from '@mantine/core';
import type { CompareOverlapResponse, RevisionSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { fleetQueries } from '../../api/fleet.js';
import { csvFileName } from '../../format/csv.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { moveFocusByArrow } from '../fleet/arrow-keys.js';
import { revisionLabel } from '../revision/revision-label.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import classes from './overlap.module.css';

type OverlapCell = CompareOverlapResponse['cells'][number];

interface Pair {
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
}

/** How far both were driven in the same places: what the adjusted differences rest on. */
export function OverlapSection({ base, other }: Pair) {
  const query = useQuery(calibrationQueries.compareOverlap(base.id, other.id));
  const { data } = query;
  return (
    <Section
      title={<HelpTerm term="overlapOfDriving">Overlap of driving</HelpTerm>}
      note={
        data &&
        `${formatShare(data.overlap)} of the shifts were driven at operating points that both have. Each figure is a share of the shifts of its revision; hatched is what only one of them has.`
      }
      actions={
        data && (
          <CsvButton
            fileName={csvFileName('compare', revisionLabel(base), revisionLabel(other), 'overlap')}
            columns={csvColumns(data)}
            rows={data.cells}
          />
        )
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={300} />}
        isEmpty={({ cells }) => cells.length === 0}
        empty="Nothing was driven under either."
      >
        {(found) => <OverlapTable overlap={found} base={base} other={other} />}
      </QueryView>
    </Section>
  );
}

function OverlapTable({
  overlap: { cells, loadBands },
  base,
  other,
}: Pair & { readonly overlap: CompareOverlapResponse }) {
  const bands = useQuery(fleetQueries.coverage({ platform: other.platformId })).data?.loadBands ?? [];
  const kinds = [...new Set(cells.map(({ kind }) => kind))];
  const largest = Math.max(...cells.flatMap(({ baseShare, otherShare }) => [baseShare, otherShare]));
  return (
    <>
      <div className={classes.scroll}>
        <table className={classes.overlap} onKeyDown={moveFocusByArrow}>
          <caption hidden>Share of the shifts of each revision by shift and load</caption>
          <thead>
            <tr>
              <th scope="col">Shift</th>
              {loadBands.map(({ index, label }) => (
                <th key={index} scope="col">
                  {label}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {kinds.map((kind) => (
              <tr key={kind}>
                <th scope="row">{kind}</th>
                {loadBands.map(({ index }) => {
                  const cell = cells.find((entry) => entry.kind === kind && entry.loadBand === index);
                  const band = bands.find((entry) => entry.index === index);
                  const place = { kind, loadMin: band?.low ?? undefined, loadMax: band?.high ?? undefined };
                  if (cell === undefined || cell.baseShare + cell.otherShare === 0) {
                    return (
                      <td key={index} className={classes.none}>
                        none
                      </td>
                    );
                  }
                  return (
                    <td key={index} className={isOneSided(cell) ? 'hatched' : undefined}>
                      <Share share={cell.baseShare} largest={largest} revision={base} place={place} isHollow />
                      <Share share={cell.otherShare} largest={largest} revision={other} place={place} />
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className={classes.key}>
        <span>
          <span className={`${classes.bar} ${classes.hollow} ${classes.sample}`} aria-hidden="true" />{' '}
          {revisionLabel(base)}
        </span>
        <span>
          <span className={`${classes.bar} ${classes.sample}`} aria-hidden="true" /> {revisionLabel(other)}
        </span>
      </p>
    </>
  );
}

interface ShareProps {
  readonly share: number;
  /** The share whose bar is as long as the cell is wide. */
  readonly largest: number;
  readonly revision: RevisionSummary;
  readonly place: ShiftsSearch;
  readonly isHollow?: boolean;
}

function Share({ share, largest, revision, place, isHollow = false }: ShareProps) {
  const words = (
    <>
      <VisuallyHidden>{revisionLabel(revision)} </VisuallyHidden>
      {share > 0 && (
        <span
          className={`${classes.bar} ${isHollow ? classes.hollow : ''}`}
          style={{ width: `${(50 * share) / largest}%` }}
          aria-hidden="true"
        />
      )}
      {share === 0 ? 'none' : formatShare(share)}
    </>
  );
  if (share === 0) return <span className={`${classes.share} ${classes.none}`}>{words}</span>;
  return (
    <TextLink to="/shifts" search={{ ...place, revision: revision.id }} className={classes.share ?? ''}>
      {words}
    </TextLink>
  );
}

function isOneSided({ baseShare, otherShare }: OverlapCell): boolean {
  return (baseShare === 0) !== (otherShare === 0);
}

function csvColumns({ loadBands }: CompareOverlapResponse) {
  return [
    { header: 'shift', cell: ({ kind }: OverlapCell) => kind },
    {
      header: 'load band',
      cell: ({ loadBand }: OverlapCell) => loadBands.find(({ index }) => index === loadBand)?.label ?? null,
    },
    { header: 'base (share of its shifts)', cell: ({ baseShare }: OverlapCell) => baseShare },
    { header: 'other (share of its shifts)', cell: ({ otherShare }: OverlapCell) => otherShare },
  ];
}
