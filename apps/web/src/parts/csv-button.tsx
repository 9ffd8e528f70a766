import { Button } from '@mantine/core';
import { type CsvColumn, toCsv } from '../format/csv.js';

type CsvButtonProps<Row> =
  | {
      /** Address of a CSV that the server writes. */
      readonly href: string;
      readonly fileName?: string;
    }
  | {
      readonly fileName: string;
      readonly columns: readonly CsvColumn<Row>[];
      readonly rows: readonly Row[];
    };

/** Downloads what stands beside it, in full precision. */
export function CsvButton<Row>(props: CsvButtonProps<Row>) {
  const look = { variant: 'default', size: 'compact-sm', fw: 500 } as const;
  if ('href' in props) {
    return (
      <Button {...look} component="a" href={props.href} download={props.fileName ?? true}>
        Download CSV
      </Button>
    );
  }
  const { fileName, columns, rows } = props;
  return (
    <Button {...look} disabled={rows.length === 0} onClick={() => saveText(fileName, toCsv(columns, rows))}>
      Download CSV
    </Button>
  );
}

function saveText(fileName: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: 'text/csv;charset=utf-8' }));
  const link = Object.assign(document.createElement('a'), { href: url, download: fileName });
  link.click();
  URL.revokeObjectURL(url);
}
