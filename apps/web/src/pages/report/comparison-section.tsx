import { Title } from '@mantine/core';
import type { ReportComparison } from '@syncline/contract';
import { Section } from '../../parts/section.js';
import { basisWords, rowWords, SUBJECT_TITLES, tooFewWords } from './comparison-words.js';
import classes from './report.module.css';

/** The drive beside earlier ones of the same car, and beside other cars without naming any. */
export function ComparisonSection({ comparisons }: { readonly comparisons: readonly ReportComparison[] }) {
  return (
    <Section
      title="Compared with other driving"
      note="Only like with like: shifts of the same kind at about the same load and fluid temperature in the same program. Rates with the range they lie in with 95 % confidence; where two ranges meet, no difference can be told."
    >
      {comparisons.map((comparison) => (
        <div key={comparison.subject} className={classes.comparison}>
          <Title order={3}>{SUBJECT_TITLES[comparison.subject]}</Title>
          {comparison.kind === 'tooFew' ? (
            <p className={classes.story}>{tooFewWords(comparison)}</p>
          ) : (
            <>
              <p className={classes.small}>{basisWords(comparison)}</p>
              <ul className={classes.lines}>
                {comparison.rows.map((row) => (
                  <li key={row.measure}>{rowWords(row, comparison.subject)}</li>
                ))}
              </ul>
            </>
          )}
        </div>
      ))}
    </Section>
  );
}
