import type { NodeProposal } from '@syncline/contract';
import { axisName } from '../../charts/grid-axis.js';
import { placeOf } from '../../charts/grid-place.js';
import type { CsvColumn } from '../../format/csv.js';
import type { TableView } from '../revision/table-view.js';
import { REASON_WORDS } from './proposal-words.js';

/** Everything that the proposal says of the nodes of one table variant, a row each. */
export function proposalCsvColumns({ rowAxis, columnAxis, size, unit }: TableView): CsvColumn<NodeProposal>[] {
  const at = ({ nodeIndex }: NodeProposal) => placeOf(nodeIndex, size);
  return [
    ...(rowAxis
      ? [{ header: axisName(rowAxis), cell: (node: NodeProposal) => rowAxis.breakpoints[at(node).row] ?? null }]
      : []),
    ...(columnAxis
      ? [
          {
            header: axisName(columnAxis),
            cell: (node: NodeProposal) => columnAxis.breakpoints[at(node).column] ?? null,
          },
        ]
      : []),
    { header: axisName({ title: 'present value', unit }), cell: ({ presentValue }) => presentValue },
    { header: axisName({ title: 'proposed value', unit }), cell: ({ proposedValue }) => proposedValue },
    { header: 'change', cell: ({ change }) => change },
    { header: 'correction (ln)', cell: ({ correctionLn }) => correctionLn },
    { header: 'standard deviation (ln)', cell: ({ sdLn }) => sdLn },
    { header: 'effective shifts', cell: ({ shifts }) => shifts },
    { header: 'effective cars', cell: ({ vehicles }) => vehicles },
    { header: 'flare rate (share)', cell: ({ flareRate }) => flareRate },
    { header: 'reasons', cell: ({ reasons }) => reasons.map((reason) => REASON_WORDS[reason].word).join('; ') },
  ];
}
