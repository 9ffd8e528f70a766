import { Button } from '@mantine/core';
import type { CoverageGap } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { sentence } from '../../format/words.js';
import type { DataColumn } from '../../parts/data-table.js';
import { pointWords } from '../report/wish-words.js';
import { lackWords, pointKey } from './request-words.js';
import classes from './requests.module.css';

interface GapColumnOptions {
  /** The largest gain of all: the others are shown as shares of it. */
  readonly largest: number;
  readonly chosen: ReadonlySet<string>;
  /** Left out for who may not ask. */
  readonly onAsk: ((key: string) => void) | undefined;
}

export function gapColumns({ largest, chosen, onAsk }: GapColumnOptions): DataColumn<CoverageGap>[] {
  return [
    {
      id: 'point',
      title: 'Operating point',
      render: (gap) => (
        <>
          {sentence(pointWords(gap))}
          <span className={classes.small}>
            {gap.kind}, load {gap.load.label}, fluid {gap.fluidTemperature.label}
          </span>
        </>
      ),
    },
    {
      id: 'soFar',
      title: 'So far',
      isShort: true,
      render: (gap) =>
        gap.shifts === 0 ? 'never driven' : `${counted(gap.shifts, 'shift')} in ${counted(gap.vehicles, 'car')}`,
    },
    { id: 'lacks', title: 'Lacks', render: lackWords },
    { id: 'rate', title: 'Believed flare rate', isNumber: true, render: (gap) => formatShare(gap.rate) },
    {
      id: 'width',
      title: 'Width of its interval',
      isNumber: true,
      render: (gap) => `${formatShare(gap.widthNow)} → ${formatShare(gap.widthAfter)}`,
    },
    { id: 'usage', title: 'Share of driving', isNumber: true, render: (gap) => formatShare(gap.usageShare) },
    {
      id: 'above',
      title: 'Too many flares, probability',
      isNumber: true,
      render: (gap) => formatShare(gap.probabilityAbove),
    },
    { id: 'gain', title: 'Gain, of the largest', isNumber: true, render: (gap) => formatShare(gap.gain / largest) },
    ...(onAsk === undefined
      ? []
      : [
          {
            id: 'ask',
            title: 'Request',
            render: (gap: CoverageGap) => (
              <>
                <Button
                  size="compact-sm"
                  variant="default"
                  aria-label={`${chosen.has(pointKey(gap)) ? 'Chosen:' : 'Ask for'} ${pointWords(gap)}`}
                  onClick={() => onAsk(pointKey(gap))}
                >
                  {chosen.has(pointKey(gap)) ? 'Chosen' : 'Ask'}
                </Button>
                {gap.openRequests > 0 && <span className={classes.small}>{gap.openRequests} open</span>}
              </>
            ),
          },
        ]),
  ];
}

export const GAP_CSV_COLUMNS: readonly CsvColumn<CoverageGap>[] = [
  { header: 'shift', cell: ({ kind }) => kind },
  { header: 'load band', cell: ({ load }) => load.label },
  { header: 'fluid temperature band', cell: ({ fluidTemperature }) => fluidTemperature.label },
  { header: 'shifts', cell: ({ shifts }) => shifts },
  { header: 'cars', cell: ({ vehicles }) => vehicles },
  { header: 'missing dialects', cell: ({ missingDialects }) => missingDialects.join(' ') },
  { header: 'lacks', cell: ({ lacks }) => lacks.join(' ') },
  { header: 'believed flare rate (share)', cell: ({ rate }) => rate },
  { header: 'interval width now (share)', cell: ({ widthNow }) => widthNow },
  { header: 'interval width expected (share)', cell: ({ widthAfter }) => widthAfter },
  { header: 'share of driving (share)', cell: ({ usageShare }) => usageShare },
  { header: 'probability above the bound (share)', cell: ({ probabilityAbove }) => probabilityAbove },
  { header: 'gain', cell: ({ gain }) => gain },
  { header: 'open requests', cell: ({ openRequests }) => openRequests },
];
