import type { ImportProblem } from '@syncline/contract';

/** Where in a file something is wrong: “line 12, table basePressure, 2-3”, “address 0x00A0”; empty for the whole file. */
export function importProblemPlace({ line, address, tableId, variant }: ImportProblem): string {
  return [
    line !== null && `line ${line}`,
    address !== null && `address 0x${address.toString(16).toUpperCase().padStart(4, '0')}`,
    tableId !== null && `table ${tableId}`,
    variant !== null && variant !== 'all' && variant,
  ]
    .filter(Boolean)
    .join(', ');
}

/** One problem in a sentence that begins with its place, which many messages name themselves. */
export function importProblemWords(problem: ImportProblem): string {
  const place = importProblemPlace(problem);
  const { message } = problem;
  const [first = ''] = place.split(',');
  const isNamed = place === '' || message.toLowerCase().startsWith(first.toLowerCase());
  return isNamed ? message : `${place.charAt(0).toUpperCase()}${place.slice(1)}: ${message}`;
}
