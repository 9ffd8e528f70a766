import type { PlatformDocument } from '@syncline/contract';
import { linkOptions } from '@tanstack/react-router';
import { memo } from 'react';
import { csvFileName } from '../../format/csv.js';
import { formatQuantity } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { tableCsvColumns, tableCsvRows } from '../revision/table-csv.js';
import type { TableView } from '../revision/table-view.js';
import { VariantTabs } from '../revision/variant-tabs.js';
import classes from './draft.module.css';
import type { DraftSearch } from './draft-search.js';

interface DraftTableHeadProps {
  readonly draftId: string;
  readonly draftTitle: string;
  readonly platform: PlatformDocument;
  readonly view: TableView;
  readonly search: DraftSearch;
  /** Changed cells by variant. */
  readonly changed: Readonly<Record<string, number>> | undefined;
}

/** Name, limits and variants of the table that is looked at. */
export const DraftTableHead = memo(function DraftTableHead(props: DraftTableHeadProps) {
  const { draftId, draftTitle, platform, view, search, changed } = props;
  const { spec, unit, digits } = view;
  return (
    <>
      <div className={classes.tableHead}>
        <h2>
          {view.name} {unit !== '' && <span className={classes.unit}>({unit})</span>}
        </h2>
        <CsvButton
          fileName={csvFileName(draftTitle, spec.id, view.variant)}
          columns={tableCsvColumns(view)}
          rows={tableCsvRows(view, undefined)}
        />
      </div>
      <p className={classes.small}>
        {spec.note && `${spec.note} `}
        Allowed from {formatQuantity(spec.limits.min, '', digits)} to {formatQuantity(spec.limits.max, unit, digits)}.
      </p>
      <VariantTabs
        spec={spec}
        variants={view.variants}
        chosen={view.variant}
        platform={platform}
        linkTo={(variant) =>
          linkOptions({
            to: '/drafts/$draftId',
            params: { draftId },
            search: { ...search, table: spec.id, variant },
          })
        }
        remark={(variant) => (changed?.[variant] === undefined ? undefined : `${changed[variant]} changed`)}
      />
    </>
  );
});
