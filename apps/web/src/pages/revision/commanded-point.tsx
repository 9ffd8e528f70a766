import type { commandedPointResponse, LayoutDocument, PlatformDocument, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import type { z } from 'zod';
import { calibrationQueries } from '../../api/calibrations.js';
import { formatQuantity } from '../../format/quantity.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { Value } from '../../parts/value.js';
import classes from './commanded.module.css';
import { tableDigits, unitWord, variantWords } from './layout-words.js';
import { mapQueryOf, type OperatingPoint } from './operating-point.js';
import { useRevisionView } from './use-revision-view.js';

interface CommandedPointProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly point: OperatingPoint;
}

/** The commanded quantity at the operating point, and what each table contributes to it. */
export function CommandedPoint({ revision, layout, platform, point }: CommandedPointProps) {
  const { load, inputSpeed, rule } = point;
  const query = useQuery(calibrationQueries.commandedPoint(revision.id, { ...mapQueryOf(point), load, inputSpeed }));
  return (
    <aside className={classes.point} aria-label="At the operating point">
      <h3>
        At {formatQuantity(load, '%', 0)} load, {formatQuantity(inputSpeed, 'rpm')}
      </h3>
      <QueryView query={query} skeleton={<BlockSkeleton height={180} />}>
        {(found) => (
          <div style={{ opacity: query.isPlaceholderData ? 0.5 : 1 }} aria-live="polite">
            <div className={classes.bigValue}>
              <Value value={found.value} unit={found.unit} />
            </div>
            <Shares found={found} layout={layout} platform={platform} kind={rule.kind} />
          </div>
        )}
      </QueryView>
    </aside>
  );
}

interface SharesProps {
  readonly found: z.infer<typeof commandedPointResponse>;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly kind: OperatingPoint['rule']['kind'];
}

function Shares({ found, layout, platform, kind }: SharesProps) {
  const { revisionId, search } = useRevisionView();
  return (
    <table className={classes.shares}>
      <caption>{kind === 'product' ? 'The product of' : 'The sum of'}</caption>
      <tbody>
        {found.shares.map(({ tableId, title, variant, value, unit }) => {
          const spec = layout.tables.find(({ id }) => id === tableId);
          const short = spec === undefined ? variant : variantWords(spec, variant, platform).short;
          // A value between break points has one digit more than the nodes that it lies between.
          const digits = spec === undefined ? 2 : Math.min(3, tableDigits(spec) + 1);
          return (
            <tr key={tableId}>
              <th scope="row">
                <TextLink
                  to="/revisions/$revisionId"
                  params={{ revisionId }}
                  search={{ ...search, table: tableId, variant, row: undefined, column: undefined }}
                  resetScroll={false}
                >
                  {title} {short}
                </TextLink>
              </th>
              <td>
                <Value value={value} unit={unitWord(unit)} digits={digits} />
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}
