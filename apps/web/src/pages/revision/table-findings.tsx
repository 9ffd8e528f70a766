import type { Finding } from '@syncline/contract';
import classes from './revision.module.css';

const SEVERITY_WORDS: Record<Finding['severity'], string> = { blocking: 'Blocks', warning: 'Warning' };

/** What the checks against the layout's limits say of the table shown. */
export function TableFindings({ findings }: { readonly findings: readonly Finding[] }) {
  if (findings.length === 0) return <p className={classes.small}>Checks against the layout: nothing found here.</p>;
  return (
    <ul className={classes.findings}>
      {findings.map((finding) => (
        <li key={`${finding.code} ${finding.where}`}>
          <FindingText finding={finding} />
        </li>
      ))}
    </ul>
  );
}

/** One finding: how grave, and what to do. */
export function FindingText({ finding }: { readonly finding: Finding }) {
  return (
    <>
      <strong>{SEVERITY_WORDS[finding.severity]}.</strong> {finding.message}
    </>
  );
}
