import type { Inspection } from '@syncline/contract';
import { LOG_FORMAT_WORDS } from '../../format/words.js';
import classes from './signal-map.module.css';

const DECIMAL_WORDS: Record<string, string> = { '.': 'point (1.5)', ',': 'comma (1,5)' };

/** What the reader took the file for, with its first rows, before any of it is believed. */
export function ReaderUnderstanding({ inspection }: { readonly inspection: Inspection }) {
  const { format, delimiter, decimalMark, columns, firstRows, reasons } = inspection;
  return (
    <>
      <dl className={classes.facts}>
        <Fact name="Format" value={LOG_FORMAT_WORDS[format]} />
        {delimiter !== null && <Fact name="Between columns" value={delimiter} />}
        {decimalMark !== null && <Fact name="Decimal mark" value={DECIMAL_WORDS[decimalMark] ?? decimalMark} />}
        <Fact name="Columns" value={String(columns.length)} />
      </dl>
      {/* Scrolls sideways, so it must be reachable by key. */}
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex */}
      <div className={classes.scroll} role="region" aria-label="First rows of the file" tabIndex={0}>
        <table className={classes.rows}>
          <thead>
            <tr>
              {columns.map(({ name, unit }) => (
                <th key={name} scope="col">
                  {name}
                  {unit !== null && ` (${unit})`}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {firstRows.map((row, rowIndex) => (
              <tr key={rowIndex}>
                {row.map((cell, columnIndex) => (
                  <td key={columnIndex}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {reasons.length > 0 && (
        <ul className={classes.reasons}>
          {reasons.map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
      )}
    </>
  );
}

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
