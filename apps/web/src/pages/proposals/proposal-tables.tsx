import { Button, Checkbox, SegmentedControl } from '@mantine/core';
import type {
  LayoutDocument,
  NodeProposal,
  PlatformDocument,
  ProposalResponse,
  RevisionResponse,
} from '@syncline/contract';
import { Link, linkOptions } from '@tanstack/react-router';
import { proposalNodesUrl } from '../../api/proposals.js';
import { GridAndReadout } from '../../charts/grid-and-readout.js';
import { placeInside, placeOf, positionOf } from '../../charts/grid-place.js';
import { RampKey } from '../../charts/ramp-key.js';
import { ValueGrid } from '../../charts/value-grid.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatChange, formatQuantity } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { Section } from '../../parts/section.js';
import { divergingColour, sequentialColour } from '../../theme/palette.js';
import { useScheme } from '../../theme/use-scheme.js';
import { extentOf, placeName, type TableView, tableView } from '../revision/table-view.js';
import { VariantTabs } from '../revision/variant-tabs.js';
import { changingNodes, type NodeChoice } from './node-choice.js';
import { NodeReadout } from './node-readout.js';
import { certaintyColour, proposalCell, shadedValue } from './proposal-cell.js';
import { proposalCsvColumns } from './proposal-csv.js';
import type { ProposalShow } from './proposal-search.js';
import { changePercent, correctionPercent, mainReason, REASON_WORDS, WHOLE } from './proposal-words.js';
import classes from './proposals.module.css';
import { useProposalView } from './use-proposal-view.js';

interface ProposalTablesProps {
  readonly proposal: ProposalResponse;
  readonly nodes: readonly NodeProposal[];
  readonly base: RevisionResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly choice: NodeChoice | undefined;
}

const SHOWS: readonly { readonly value: ProposalShow; readonly label: string }[] = [
  { value: 'correction', label: 'Correction' },
  { value: 'change', label: 'Change' },
  { value: 'after', label: 'Value after' },
  { value: 'uncertainty', label: 'Uncertainty' },
  { value: 'evidence', label: 'Evidence' },
  { value: 'reason', label: 'Reason' },
];

/** Every node of every table as one file; the button beside a table downloads that table alone. */
function NodesDownload({ proposalId, format }: { readonly proposalId: string; readonly format: 'csv' | 'json' }) {
  return (
    <Button
      component="a"
      variant="default"
      size="compact-sm"
      fw={500}
      href={proposalNodesUrl(proposalId, format)}
      download
    >
      All as {format.toUpperCase()}
    </Button>
  );
}

/** The tables that the proposal is about, one variant at a time. */
export function ProposalTables(props: ProposalTablesProps) {
  const { search, change } = useProposalView();
  const { nodes, layout, platform, base } = props;
  const first = firstTold(nodes);
  const table = search.table ?? first?.tableId;
  const view = tableView(layout, platform, base.content, { table, variant: search.variant ?? first?.variant });
  if (view === undefined) return null;
  return (
    <Section
      title="Corrections"
      note="Blue is less, orange more; a colour fades where the correction is uncertain, hatching is what is left alone, a dot what you left out. The letter says why; arrow keys move, Enter takes or leaves a cell."
      actions={
        <>
          <div className={classes.switch}>
            <SegmentedControl
              size="xs"
              aria-label="What the cells show"
              data={[...SHOWS]}
              value={search.show ?? 'correction'}
              onChange={(value) => change({ show: value as ProposalShow })}
            />
          </div>
          <NodesDownload proposalId={props.proposal.id} format="csv" />
          <NodesDownload proposalId={props.proposal.id} format="json" />
        </>
      }
    >
      <div className={classes.tables}>
        <TableNav nodes={nodes} layout={layout} chosenId={view.spec.id} />
        <ShownVariant {...props} view={view} />
      </div>
    </Section>
  );
}

/** Where most changes are; else where most was driven. */
function firstTold(nodes: readonly NodeProposal[]): NodeProposal | undefined {
  const scores = new Map<string, number>();
  const keyOf = ({ tableId, variant }: NodeProposal) => `${tableId}/${variant}`;
  for (const node of nodes) {
    const score = (node.change === 'leave' ? 0 : 1000) + node.shifts;
    scores.set(keyOf(node), (scores.get(keyOf(node)) ?? 0) + score);
  }
  const best = [...scores].sort((a, b) => b[1] - a[1])[0]?.[0];
  return nodes.find((node) => keyOf(node) === best);
}

function TableNav({
  nodes,
  layout,
  chosenId,
}: {
  readonly nodes: readonly NodeProposal[];
  readonly layout: LayoutDocument;
  readonly chosenId: string;
}) {
  const { proposalId, search } = useProposalView();
  const ids = [...new Set(nodes.map(({ tableId }) => tableId))];
  return (
    <nav className={classes.list} aria-label="Tables of the proposal">
      {ids.map((id) => (
        <Link
          key={id}
          {...linkOptions({
            to: '/proposals/$proposalId',
            params: { proposalId },
            search: { show: search.show, table: id },
          })}
          resetScroll={false}
          className={classes.listLink ?? ''}
          aria-current={id === chosenId ? 'true' : undefined}
          activeProps={{}}
        >
          {layout.tables.find((table) => table.id === id)?.title ?? id}
          <span className={classes.count}>
            {counted(changingNodes(nodes.filter(({ tableId }) => tableId === id)).length, 'change')}
          </span>
        </Link>
      ))}
    </nav>
  );
}

function ShownVariant({
  proposal,
  nodes,
  base,
  platform,
  choice,
  view,
}: ProposalTablesProps & { readonly view: TableView }) {
  const { proposalId, search, change } = useProposalView();
  const scheme = useScheme();
  const ofTable = nodes.filter(({ tableId }) => tableId === view.spec.id);
  const shown = ofTable.filter(({ variant }) => variant === view.variant);
  const changing = changingNodes(shown);
  const show = search.show ?? 'correction';
  const start = placeOf(startIndex(shown), view.size);
  const place = placeInside({ row: search.row ?? start.row, column: search.column ?? start.column }, view.size);
  const reach = Math.max(
    1,
    ...shown.map((node) => Math.abs(show === 'change' ? changePercent(node) : correctionPercent(node))),
  );
  const extent = extentOf(shown.map((node) => shadedValue(node, show)).filter((value) => !Number.isNaN(value)));
  const nodeAt = (at: { row: number; column: number }) => shown[positionOf(at, view.size)];
  const chosen = nodeAt(place);
  const toggle = (at: { row: number; column: number }) => {
    const node = nodeAt(at);
    if (node !== undefined && node.change !== 'leave') choice?.set([node], !choice.isTaken(node));
  };
  const { unit, digits } = view;
  return (
    <div className={classes.grow}>
      <div className={classes.head}>
        <h3>
          {view.name} <span className={classes.soft}>({unitOf(show, unit)})</span>
        </h3>
        <CsvButton
          fileName={csvFileName('proposal', `r${base.number}`, view.spec.id, view.variant)}
          columns={proposalCsvColumns(view)}
          rows={shown}
        />
      </div>
      <VariantTabs
        spec={view.spec}
        variants={view.variants}
        chosen={view.variant}
        platform={platform}
        linkTo={(variant) =>
          linkOptions({
            to: '/proposals/$proposalId',
            params: { proposalId },
            search: { show: search.show, table: view.spec.id, variant },
          })
        }
        remark={(variant) => {
          const count = changingNodes(ofTable.filter((node) => node.variant === variant)).length;
          return count > 0 ? String(count) : undefined;
        }}
      />
      <GridAndReadout
        grid={
          <>
            <ValueGrid
              label={`${view.name}, ${SHOWS.find(({ value }) => value === show)?.label}`}
              rowAxis={view.rowAxis}
              columnAxis={view.columnAxis}
              chosen={place}
              onChoose={(at) => change(at)}
              onOpen={choice && toggle}
              cellAt={(at) => {
                const node = nodeAt(at);
                if (node === undefined) return EMPTY_CELL;
                const where = placeName(view, at);
                const isTaken = choice === undefined || choice.isTaken(node);
                return proposalCell(node, { show, scheme, unit, digits, reach, extent, where, isTaken });
              }}
            />
            <Key show={show} nodes={shown} reach={reach} extent={extent} unit={unit} digits={digits} />
          </>
        }
        readout={
          chosen && (
            <NodeReadout
              node={chosen}
              where={placeName(view, place) || view.name}
              unit={unit}
              digits={digits}
              policy={proposal.policy}
              choice={choice}
            />
          )
        }
      >
        {choice !== undefined && changing.length > 0 && (
          <Checkbox
            size="sm"
            mt={10}
            label={`Take ${counted(changing.length, 'change')} of ${view.name} into the draft`}
            checked={changing.every(choice.isTaken)}
            indeterminate={changing.some(choice.isTaken) && !changing.every(choice.isTaken)}
            onChange={(event) => choice.set(changing, event.currentTarget.checked)}
          />
        )}
      </GridAndReadout>
    </div>
  );
}

const EMPTY_CELL = { text: '–', background: 'var(--surface)', ink: 'var(--ink)', description: 'no node', title: '' };

/** The node with the largest change, or else the most evidence. */
function startIndex(nodes: readonly NodeProposal[]): number {
  const score = (node: NodeProposal) =>
    (node.change === 'leave' ? 0 : 1000 + Math.abs(changePercent(node))) + node.shifts / 1e4;
  return nodes.reduce((best, node, i) => (score(node) > score(nodes[best] as NodeProposal) ? i : best), 0);
}

function unitOf(show: ProposalShow, unit: string): string {
  if (show === 'after') return unit === '' ? 'factor' : unit;
  if (show === 'evidence') return 'effective shifts and cars';
  return show === 'reason' ? 'why' : '% of the value';
}

interface KeyProps {
  readonly show: ProposalShow;
  readonly nodes: readonly NodeProposal[];
  readonly reach: number;
  readonly extent: readonly [number, number];
  readonly unit: string;
  readonly digits: number;
}

/** What colours and letters mean, of those that occur. */
function Key({ show, nodes, reach, extent, unit, digits }: KeyProps) {
  const scheme = useScheme();
  const letters = new Map(nodes.map((node) => mainReason(node)).map(({ letter, word }) => [letter, word]));
  const order = [WHOLE, ...Object.values(REASON_WORDS)].filter(({ letter }) => letters.has(letter));
  const text = (value: number) =>
    show === 'after'
      ? formatQuantity(value, unit, digits)
      : show === 'evidence'
        ? counted(Math.round(value), 'shift')
        : `±${formatQuantity(value, '%', 1)}`;
  return (
    <div className={classes.key}>
      {show === 'correction' || show === 'change' || show === 'reason' ? (
        <RampKey
          low={formatChange(-reach, '%', 1)}
          high={formatChange(reach, '%', 1)}
          colourAt={(share) => divergingColour(2 * share - 1, scheme)}
        />
      ) : (
        extent[1] > extent[0] && (
          <RampKey
            low={text(show === 'uncertainty' ? 0 : extent[0])}
            high={text(extent[1])}
            colourAt={show === 'uncertainty' ? (share) => certaintyColour(share, scheme) : sequentialColour}
          />
        )
      )}
      {order.map(({ letter, word }) => (
        <span key={letter}>
          <code>{letter}</code>
          {word}
        </span>
      ))}
    </div>
  );
}
