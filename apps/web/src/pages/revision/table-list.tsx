import { Select } from '@mantine/core';
import type { Finding, LayoutDocument } from '@syncline/contract';
import { Link } from '@tanstack/react-router';
import { counted } from '../../format/quantity.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { groupTables, unitWord } from './layout-words.js';
import classes from './revision.module.css';
import { useRevisionView } from './use-revision-view.js';

interface TableListProps {
  readonly layout: LayoutDocument;
  readonly chosenId: string;
  readonly findings: readonly Finding[];
}

/** All tables by the rule that uses them: a list at the side, a choice on narrow screens. */
export function TableList({ layout, chosenId, findings }: TableListProps) {
  const { revisionId, search, change } = useRevisionView();
  const groups = groupTables(layout);
  const searchFor = (table: string) => ({
    ...search,
    table,
    variant: search.variant,
    row: undefined,
    column: undefined,
  });
  return (
    <>
      <div className="only-wide">
        <nav className={classes.list} aria-label="Tables of this revision">
          {groups.map(({ title, tables }) => (
            <div key={title}>
              <div className={classes.groupTitle}>{title}</div>
              {tables.map(({ id, title: name, unit }) => {
                const count = findings.filter(({ tableId }) => tableId === id).length;
                return (
                  <Link
                    key={id}
                    to="/revisions/$revisionId"
                    params={{ revisionId }}
                    search={searchFor(id)}
                    resetScroll={false}
                    className={classes.listLink ?? ''}
                    aria-current={id === chosenId ? 'true' : undefined}
                    activeProps={{}}
                  >
                    {name} <span className={classes.unit}>{unitWord(unit)}</span>
                    {count > 0 && <span className={classes.found}>{counted(count, 'finding')}</span>}
                  </Link>
                );
              })}
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
          items: tables.map(({ id, title: name }) => ({ value: id, label: name })),
        }))}
        value={chosenId}
        onChange={(table) => table !== null && change(searchFor(table), false)}
      />
    </>
  );
}
