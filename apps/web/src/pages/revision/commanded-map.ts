import type { CommandedMapResponse } from '@syncline/contract';
import type { GridAxis } from '../../charts/grid-axis.js';
import type { GridPlace } from '../../charts/grid-place.js';
import type { CsvColumn } from '../../format/csv.js';
import { nearestNode } from './profiles.js';

/** Axes of a commanded map, load down and input speed across. */
export function mapAxes({ load, inputSpeed }: Pick<CommandedMapResponse, 'load' | 'inputSpeed'>): {
  readonly rowAxis: GridAxis;
  readonly columnAxis: GridAxis;
} {
  return {
    rowAxis: { title: 'Load', unit: '%', breakpoints: load },
    columnAxis: { title: 'Input speed', unit: 'rpm', breakpoints: inputSpeed },
  };
}

/** Cell of a map that lies nearest to an operating point. */
export function nearestPlace(
  map: Pick<CommandedMapResponse, 'load' | 'inputSpeed'>,
  point: { readonly load: number; readonly inputSpeed: number },
): GridPlace {
  return { row: nearestNode(map.load, point.load), column: nearestNode(map.inputSpeed, point.inputSpeed) };
}

interface MapCsvRow {
  readonly load: number;
  readonly inputSpeed: number;
  readonly value: number;
}

/** One row for each node of a commanded map. */
export function mapCsvRows({ load, inputSpeed, values }: CommandedMapResponse): MapCsvRow[] {
  return values.map((value, position) => ({
    load: load[Math.floor(position / inputSpeed.length)] as number,
    inputSpeed: inputSpeed[position % inputSpeed.length] as number,
    value,
  }));
}

export function mapCsvColumns(title: string, unit: string): CsvColumn<MapCsvRow>[] {
  return [
    { header: 'load (%)', cell: ({ load }) => load },
    { header: 'input speed (rpm)', cell: ({ inputSpeed }) => inputSpeed },
    { header: `${title} (${unit})`, cell: ({ value }) => value },
  ];
}
