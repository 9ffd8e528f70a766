import type { LayoutDocument, RevisionResponse } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './revision.module.css';
import { FindingText } from './table-findings.js';
import { useRevisionView } from './use-revision-view.js';

interface FindingsSectionProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
}

/** Everything that the checks found in the content, each a way to its cell. */
export function FindingsSection({ revision: { findings }, layout }: FindingsSectionProps) {
  const { revisionId, search } = useRevisionView();
  return (
    <Section
      title="Checks against the layout"
      note="Limits, required direction, steepest slope and storage of every table."
    >
      {findings.length === 0 ? (
        <p className={classes.plain}>Nothing found in {counted(layout.tables.length, 'table')}.</p>
      ) : (
        <ul className={classes.findings}>
          {findings.map((finding) => (
            <li key={`${finding.code} ${finding.where}`}>
              {finding.tableId !== null && (
                <TextLink
                  to="/revisions/$revisionId"
                  params={{ revisionId }}
                  search={{
                    ...search,
                    table: finding.tableId,
                    variant: finding.variant ?? undefined,
                    row: finding.cell?.row,
                    column: finding.cell?.column,
                  }}
                >
                  {layout.tables.find(({ id }) => id === finding.tableId)?.title ?? finding.tableId} {finding.variant}
                </TextLink>
              )}{' '}
              <FindingText finding={finding} />
            </li>
          ))}
        </ul>
      )}
    </Section>
  );
}
