import type { LayoutDocument, PlatformDocument } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { formatChange, formatCount } from '../../format/quantity.js';
import type { DataColumn } from '../../parts/data-table.js';
import { TextLink } from '../../parts/text-link.js';
import { tableDigits, unitWord, variantWords } from '../revision/layout-words.js';
import type { CompareSearch } from './compare-search.js';
import type { DifferenceGroup, LargestChange } from './group-differences.js';

interface GroupContext {
  readonly search: CompareSearch;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** Columns of the list of differing tables; its first is the way to the difference map. */
export function groupColumns({ search, layout, platform }: GroupContext): readonly DataColumn<DifferenceGroup>[] {
  const specOf = (tableId: string) => layout.tables.find(({ id }) => id === tableId);
  const where = ({ tableId }: DifferenceGroup, { variant }: LargestChange) => {
    const spec = specOf(tableId);
    const { full } = spec === undefined ? { full: variant } : variantWords(spec, variant, platform);
    return full === '' ? '' : ` in ${full}`;
  };
  return [
    {
      id: 'table',
      title: 'Table',
      isShort: true,
      render: ({ tableId, title }) => (
        <TextLink
          to="/compare"
          search={{ ...search, table: tableId, variant: undefined, row: undefined, column: undefined }}
          resetScroll={false}
        >
          {title}
        </TextLink>
      ),
    },
    {
      id: 'absolute',
      title: 'Largest change',
      render: (group) => {
        const spec = specOf(group.tableId);
        const { absolute } = group.largestAbsolute;
        if (absolute === 0) return 'no value changed';
        return (
          <span title={String(absolute)}>
            {formatChange(absolute, unitWord(group.unit), spec && tableDigits(spec))}
            {where(group, group.largestAbsolute)}
          </span>
        );
      },
    },
    {
      id: 'percent',
      title: 'Largest share of the base',
      render: (group) => {
        const { changedCells, largestPercent } = group;
        if (changedCells === 0) return '–';
        if (largestPercent === null || largestPercent.percent === 0) return 'none: the base is 0';
        return (
          <span title={`${largestPercent.percent} %`}>
            {formatChange(largestPercent.percent, '%')}
            {where(group, largestPercent)}
          </span>
        );
      },
    },
    {
      id: 'cells',
      title: 'Cells changed',
      isNumber: true,
      render: ({ changedCells, cells }) => `${formatCount(changedCells)} of ${formatCount(cells)}`,
    },
    {
      id: 'variants',
      title: 'Variants that differ',
      isNumber: true,
      render: ({ differences, tableId }) =>
        specOf(tableId)?.repeat === 'once' ? 'single table' : formatCount(differences.length),
    },
    {
      id: 'axes',
      title: 'Break points',
      distinct: ({ differences }) => (differences.some(({ isResampled }) => isResampled) ? 'moved' : null),
      render: ({ differences }) =>
        differences.some(({ isResampled }) => isResampled) ? 'moved: base read off at the new ones' : 'same',
    },
  ];
}

export const GROUP_CSV_COLUMNS: readonly CsvColumn<DifferenceGroup>[] = [
  { header: 'table', cell: ({ tableId }) => tableId },
  { header: 'title', cell: ({ title }) => title },
  { header: 'unit', cell: ({ unit }) => unit },
  { header: 'variants that differ', cell: ({ differences }) => differences.length },
  { header: 'changed cells', cell: ({ changedCells }) => changedCells },
  { header: 'cells of these variants', cell: ({ cells }) => cells },
  { header: 'largest change (unit of the table)', cell: ({ largestAbsolute }) => largestAbsolute.absolute },
  { header: 'in variant', cell: ({ largestAbsolute }) => largestAbsolute.variant },
  { header: 'largest change (% of base)', cell: ({ largestPercent }) => largestPercent?.percent ?? null },
  { header: 'share in variant', cell: ({ largestPercent }) => largestPercent?.variant ?? null },
];
