import { Button } from '@mantine/core';
import type { Finding, LayoutDocument } from '@syncline/contract';
import { memo, useState } from 'react';
import { counted } from '../../format/quantity.js';
import { Section } from '../../parts/section.js';
import { FindingText } from '../revision/table-findings.js';
import classes from './draft.module.css';
import { countWords } from './draft-table-list.js';
import { gravestFirst } from './model/draft-findings.js';

interface FindingsPanelProps {
  readonly findings: readonly Finding[];
  readonly layout: LayoutDocument;
  readonly onShow: (finding: Finding) => void;
}

const FIRST_SHOWN = 12;

/** Everything that the checks find in the draft as it stands; each leads to its cell. */
export const FindingsPanel = memo(function FindingsPanel({ findings, layout, onShow }: FindingsPanelProps) {
  const [isAll, setAll] = useState(false);
  const ordered = gravestFirst(findings);
  const shown = isAll ? ordered : ordered.slice(0, FIRST_SHOWN);
  return (
    <Section
      title="Findings"
      note={
        findings.length === 0
          ? `Nothing found in ${counted(layout.tables.length, 'table')}.`
          : `${countWords(findings)}. What blocks keeps the draft from becoming a revision; a warning may stand.`
      }
    >
      {findings.length > 0 && <FindingList findings={shown} layout={layout} onShow={onShow} />}
      {ordered.length > shown.length && (
        <Button variant="default" size="compact-sm" mt={6} onClick={() => setAll(true)}>
          Show all {ordered.length}
        </Button>
      )}
    </Section>
  );
});

/** Findings as a list; those about a table lead to it. */
export function FindingList({ findings, layout, onShow }: FindingsPanelProps) {
  return (
    <ul className={classes.findings}>
      {findings.map((finding) => {
        const title = layout.tables.find(({ id }) => id === finding.tableId)?.title ?? finding.tableId;
        return (
          <li key={`${finding.code} ${finding.where} ${finding.message}`}>
            {finding.tableId !== null && (
              <button type="button" className={classes.jump} onClick={() => onShow(finding)}>
                {title} {finding.variant !== 'all' && finding.variant}
                {finding.cell !== null && ` (${finding.cell.row + 1}, ${finding.cell.column + 1})`}
              </button>
            )}{' '}
            <FindingText finding={finding} />
          </li>
        );
      })}
    </ul>
  );
}
