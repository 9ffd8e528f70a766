import type { Effect } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import type { DataColumn } from '../../parts/data-table.js';
import classes from './compare.module.css';
import { EffectCell } from './effect-cell.js';
import { betterWords, probabilityWords } from './effect-words.js';

/** A probability in words and as a figure; `beside` is one that is not adjusted. */
export function Probability({ effect, beside }: { readonly effect: Effect; readonly beside?: Effect }) {
  if (effect.kind === 'insufficient') return <span className={classes.soft}>cannot tell</span>;
  return (
    <span className={classes.rate}>
      <span>
        <strong>{probabilityWords(effect.probabilityBetter)}</strong>, {betterWords(effect.probabilityBetter)}
      </span>
      {beside?.kind === 'estimate' && (
        <span className={classes.soft}>{probabilityWords(beside.probabilityBetter)} as driven</span>
      )}
    </span>
  );
}

/** What an estimate says; an empty cell where there is none. */
function estimated(effect: Effect, name: 'difference' | 'low' | 'high' | 'probabilityBetter'): number | null {
  return effect.kind === 'estimate' ? effect[name] : null;
}

/** Columns of a download that give a difference with its interval and its evidence. */
export function effectCsvColumns<Row>(name: string, of: (row: Row) => Effect, unit = 'share'): CsvColumn<Row>[] {
  return [
    { header: `${name} difference (${unit})`, cell: (row) => estimated(of(row), 'difference') },
    { header: `${name} low (${unit})`, cell: (row) => estimated(of(row), 'low') },
    { header: `${name} high (${unit})`, cell: (row) => estimated(of(row), 'high') },
    { header: `${name} probability of a lower value`, cell: (row) => estimated(of(row), 'probabilityBetter') },
    { header: `${name} shifts`, cell: (row) => of(row).shifts },
    { header: `${name} vehicles`, cell: (row) => of(row).vehicles },
  ];
}

/** Both differences of a row; the bars reach `reach` to both sides, as a share. */
export function differenceColumns(
  reach: number,
): readonly DataColumn<{ readonly adjusted: Effect; readonly unadjusted: Effect }>[] {
  return [
    {
      id: 'adjusted',
      title: 'Difference, adjusted',
      render: ({ adjusted }) => <EffectCell effect={adjusted} reach={reach} isShaded />,
    },
    {
      id: 'unadjusted',
      title: 'Difference, as driven',
      render: ({ unadjusted }) => <EffectCell effect={unadjusted} reach={reach} isHollow />,
    },
  ];
}
