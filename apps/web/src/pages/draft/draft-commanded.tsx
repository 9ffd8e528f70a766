import { Button, Select } from '@mantine/core';
import type { OperatingQuantity } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';
import { memo, useState } from 'react';
import type { GridPlace } from '../../charts/grid-place.js';
import { formatChange } from '../../format/quantity.js';
import { Value } from '../../parts/value.js';
import commandedClasses from '../revision/commanded.module.css';
import { tableDigits, unitWord, variantWords } from '../revision/layout-words.js';
import { QuantitySlider } from '../revision/quantity-slider.js';
import type { TableView } from '../revision/table-view.js';
import classes from './draft.module.css';
import type { DraftSearch } from './draft-search.js';
import { commandedAt, type DraftPoint, draftPointOf, POINT_NAMES, pointMoved } from './model/draft-point.js';

interface DraftCommandedProps {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly content: RevisionContentDocument;
  readonly parent: RevisionContentDocument | null;
  readonly view: TableView;
  readonly active: GridPlace;
  readonly asked: DraftSearch;
  readonly onChange: (part: Partial<DraftSearch>) => void;
}

/** What the draft commands at an operating point, with each table's share, beside its parent. Reckoned on this page. */
export const DraftCommanded = memo(function DraftCommanded(props: DraftCommandedProps) {
  const { layout, platform, content, parent, view, active, asked, onChange } = props;
  const [dragged, setDragged] = useState<{ quantity: OperatingQuantity; value: number } | null>(null);
  const chosen = draftPointOf({ layout, platform, view, active, asked });
  if (chosen === undefined) return null;
  const point = dragged === null ? chosen : pointMoved(chosen, dragged.quantity, dragged.value);
  const isAway = chosen.quantities.some(({ quantity }) => asked[POINT_NAMES[quantity]] !== undefined);
  return (
    <section className={classes.commanded} aria-label="Commanded quantity at the operating point">
      <Shares layout={layout} platform={platform} content={content} parent={parent} point={point} />
      <PointFields
        layout={layout}
        point={chosen}
        onChange={onChange}
        onDrag={(quantity, value) => setDragged({ quantity, value })}
        onDropped={() => setDragged(null)}
      />
      {isAway ? (
        <Button
          variant="default"
          size="compact-sm"
          onClick={() =>
            onChange(Object.fromEntries(chosen.quantities.map(({ quantity }) => [POINT_NAMES[quantity], undefined])))
          }
        >
          Follow the active cell
        </Button>
      ) : (
        <p className={classes.small}>The point follows the active cell until it is moved.</p>
      )}
    </section>
  );
});

interface PointFieldsProps {
  readonly layout: LayoutDocument;
  readonly point: DraftPoint;
  readonly onChange: (part: Partial<DraftSearch>) => void;
  readonly onDrag: (quantity: OperatingQuantity, value: number) => void;
  readonly onDropped: () => void;
}

const SELECTOR_WORDS = { shift: 'Shift', gear: 'Gear', program: 'Program', clutch: 'Clutch' } as const;
/** Steps of a slider by unit; 1 elsewhere. */
const STEPS: Record<string, number> = { rpm: 10, kPa: 5 };

function PointFields({ layout, point, onChange, onDrag, onDropped }: PointFieldsProps) {
  return (
    <div className={commandedClasses.fields}>
      {layout.rules.length > 1 && (
        <Select
          label="Commanded quantity"
          size="xs"
          allowDeselect={false}
          data={layout.rules.map(({ id, title }) => ({ value: id, label: title }))}
          value={point.rule.id}
          onChange={(rule) => rule !== null && onChange({ rule })}
        />
      )}
      {point.selectors.map(({ selector, choices, value }) => (
        <Select
          key={selector}
          label={SELECTOR_WORDS[selector]}
          size="xs"
          allowDeselect={false}
          data={[...choices]}
          value={value}
          onChange={(next) => next !== null && onChange({ [selector]: selector === 'gear' ? Number(next) : next })}
        />
      ))}
      {point.quantities.map(({ quantity, title, unit, low, high, value }) => (
        <QuantitySlider
          key={quantity}
          label={title}
          unit={unit}
          step={STEPS[unit] ?? 1}
          low={low}
          high={high}
          value={value}
          onDrag={(next) => onDrag(quantity, next)}
          onChange={(next) => {
            onDropped();
            onChange({ [POINT_NAMES[quantity]]: next });
          }}
        />
      ))}
    </div>
  );
}

interface SharesProps {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly content: RevisionContentDocument;
  readonly parent: RevisionContentDocument | null;
  readonly point: DraftPoint;
}

function Shares({ layout, platform, content, parent, point }: SharesProps) {
  const draft = commandedAt(layout, content, point);
  const before = parent === null ? undefined : commandedAt(layout, parent, point);
  if (draft.kind === 'none') return <p>{draft.why}</p>;
  const { rule } = point;
  const old = before?.kind === 'value' ? before.found : undefined;
  const unit = unitWord(rule.unit);
  return (
    <div className={classes.shares}>
      <h3>
        {rule.title} {unit !== '' && <span className={classes.unit}>({unit})</span>}
      </h3>
      <div className={classes.bigValue}>
        <Value value={draft.found.value} unit={unit} />
        {old !== undefined && old.value !== draft.found.value && (
          <span className={classes.against}>
            {formatChange(draft.found.value - old.value, unit)} against the parent
          </span>
        )}
      </div>
      <table className={commandedClasses.shares}>
        <caption>{rule.kind === 'product' ? 'The product of' : 'The sum of'}</caption>
        <thead>
          <tr>
            <th scope="col">Table</th>
            <th scope="col" className={classes.numberHead}>
              Draft
            </th>
            {old !== undefined && (
              <th scope="col" className={classes.numberHead}>
                Parent
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {draft.found.shares.map(({ tableId, variant, value }) => {
            const spec = layout.tables.find(({ id }) => id === tableId);
            // A value between break points has one digit more than the nodes that it lies between.
            const digits = spec === undefined ? 2 : Math.min(4, tableDigits(spec) + 1);
            const shareUnit = unitWord(spec?.unit ?? '');
            const was = old?.shares.find((share) => share.tableId === tableId)?.value;
            return (
              <tr key={tableId}>
                <th scope="row">
                  {spec?.title ?? tableId} {spec && variantWords(spec, variant, platform).short}
                </th>
                <td>
                  <Value value={value} unit={shareUnit} digits={digits} />
                </td>
                {old !== undefined && (
                  <td>
                    <Value value={was} unit={shareUnit} digits={digits} />
                  </td>
                )}
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
