import { Select } from '@mantine/core';
import type { Finding, LayoutDocument } from '@syncline/contract';
import { Link } from '@tanstack/react-router';
import { memo } from 'react';
import { counted } from '../../format/quantity.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { groupTables, unitWord } from '../revision/layout-words.js';
import revisionClasses from '../revision/revision.module.css';
import classes from './draft.module.css';
import type { TableChange } from './model/content-change.js';
import { isBlocking } from './model/draft-findings.js';

interface DraftTableListProps {
  readonly draftId: string;
  readonly layout: LayoutDocument;
  readonly chosenId: string;
  readonly findings: readonly Finding[];
  readonly changes: ReadonlyMap<string, TableChange>;
  readonly onChoose: (tableId: string) => void;
}

/** All tables, with what was changed and found in each: a list at the side, a choice on narrow screens. */
export const DraftTableList = memo(function DraftTableList(props: DraftTableListProps) {
  const { draftId, layout, chosenId, findings, changes, onChoose } = props;
  const groups = groupTables(layout);
  return (
    <>
      <div className="only-wide">
        <nav className={revisionClasses.list} aria-label="Tables of this draft">
          {groups.map(({ title, tables }) => (
            <div key={title}>
              <div className={revisionClasses.groupTitle}>{title}</div>
              {tables.map(({ id, title: name, unit }) => (
                <Link
                  key={id}
                  to="/drafts/$draftId"
                  params={{ draftId }}
                  search={(now) => ({ ...now, table: id, row: undefined, column: undefined })}
                  resetScroll={false}
                  className={revisionClasses.listLink ?? ''}
                  aria-current={id === chosenId ? 'true' : undefined}
                  activeProps={{}}
                >
                  {name} <span className={revisionClasses.unit}>{unitWord(unit)}</span>
                  <TableMarks change={changes.get(id)} findings={findings.filter(({ tableId }) => tableId === id)} />
                </Link>
              ))}
            </div>
          ))}
        </nav>
      </div>
      <Select
        {...SEARCH_FIELD}
        className="only-narrow"
        label="Table"
        allowDeselect={false}
        data={groups.map(({ title, tables }) => ({
          group: title,
          items: tables.map(({ id, title: name }) => ({
            value: id,
            label: [name, changes.has(id) && 'changed', countWords(findings.filter(({ tableId }) => tableId === id))]
              .filter(Boolean)
              .join(' · '),
          })),
        }))}
        value={chosenId}
        onChange={(table) => table !== null && onChoose(table)}
      />
    </>
  );
});

function TableMarks({ change, findings }: { change: TableChange | undefined; findings: readonly Finding[] }) {
  const found = countWords(findings);
  if (change === undefined && found === '') return null;
  return (
    <span className={classes.tableMarks}>
      {change !== undefined && <span className={classes.changedMark}>{changeWords(change)}</span>}
      {found !== '' && <span className={classes.foundMark}>{found}</span>}
    </span>
  );
}

/** “12 cells changed”, “break points moved”. */
export function changeWords({ changedCells, hasOtherAxes }: TableChange): string {
  if (hasOtherAxes) return 'break points moved';
  return `${counted(changedCells, 'cell')} changed`;
}

/** “2 block, 1 warning”; empty for none. */
export function countWords(findings: readonly Finding[]): string {
  const blocking = findings.filter(isBlocking).length;
  const warnings = findings.length - blocking;
  return [blocking > 0 && `${blocking} block`, warnings > 0 && counted(warnings, 'warning')].filter(Boolean).join(', ');
}
