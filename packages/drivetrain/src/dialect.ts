import type { SignalId } from '@syncline/drivelog';

/** How one logger writes a drive as text: which columns, in which units, and in which flavour of CSV. */
export interface LogDialect {
  readonly id: string;
  readonly title: string;
  readonly delimiter: ',' | ';' | '\t';
  readonly decimalMark: '.' | ',';
  readonly lineEnd: '\n' | '\r\n';
  readonly byteOrderMark: boolean;
  readonly finalLineEnd: boolean;
  /** Lines before the header, without line end. */
  readonly comments: readonly string[];
  /** Where units are written: in the header name itself, in a row of their own, or nowhere. */
  readonly units: 'header' | 'row' | 'none';
  readonly quoted: boolean;
  readonly columns: readonly LogColumn[];
}

export type LogColumn = TimeColumn | SignalColumn | FillerColumn;

export interface TimeColumn {
  readonly kind: 'time';
  readonly name: string;
  readonly unit: string;
  /** `iso` writes date and time in UTC from the start of the drive. */
  readonly format: 'seconds' | 'milliseconds' | 'iso';
}

export interface SignalColumn {
  readonly kind: 'signal';
  readonly name: string;
  readonly unit: string;
  readonly signal: SignalId;
  /** Written value = scale · canonical value + offset. */
  readonly scale: number;
  readonly offset: number;
  readonly decimals: number;
}

/** A column that means nothing to us, such as a counter. */
export interface FillerColumn {
  readonly kind: 'counter' | 'empty';
  readonly name: string;
  readonly unit: string;
}
