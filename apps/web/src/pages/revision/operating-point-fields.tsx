import { Select, Slider } from '@mantine/core';
import type { LayoutDocument, PlatformDocument } from '@syncline/contract';
import { useState } from 'react';
import { formatQuantity } from '../../format/quantity.js';
import classes from './commanded.module.css';
import { askableRules, type OperatingPoint, type Span } from './operating-point.js';
import type { OperatingPointSearch } from './revision-search.js';

interface OperatingPointFieldsProps {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly point: OperatingPoint;
  readonly onChange: (part: Partial<OperatingPointSearch>) => void;
  /** Whether load and input speed may be moved too; a whole map needs neither. */
  readonly hasPlace: boolean;
}

/** The choices that make an operating point; each writes itself into the address. */
export function OperatingPointFields({ layout, platform, point, onChange, hasPlace }: OperatingPointFieldsProps) {
  const { spans } = point;
  const rules = askableRules(layout);
  const programs = platform.programs.map(({ id, title }) => ({ value: id, label: title }));
  return (
    <div className={classes.fields}>
      {rules.length > 1 && (
        <Select
          label="Commanded quantity"
          allowDeselect={false}
          data={rules.map(({ id, title }) => ({ value: id, label: title }))}
          value={point.rule.id}
          onChange={(rule) => rule !== null && onChange({ rule })}
        />
      )}
      {point.shift !== undefined && (
        <Select
          label="Shift"
          allowDeselect={false}
          data={[...point.shifts]}
          value={point.shift}
          onChange={(shift) => shift !== null && onChange({ shift })}
        />
      )}
      {point.program !== undefined && (
        <Select
          label="Program"
          allowDeselect={false}
          data={programs}
          value={point.program}
          onChange={(program) => program !== null && onChange({ program })}
        />
      )}
      <QuantitySlider
        label="Fluid temperature"
        unit="°C"
        step={1}
        span={spans.fluidTemperature}
        value={point.fluidTemperature}
        onChange={(fluid) => onChange({ fluid })}
      />
      {hasPlace && (
        <>
          <QuantitySlider
            label="Load"
            unit="%"
            step={1}
            span={spans.load}
            value={point.load}
            onChange={(load) => onChange({ load })}
          />
          <QuantitySlider
            label="Input speed"
            unit="rpm"
            step={10}
            span={spans.inputSpeed}
            value={point.inputSpeed}
            onChange={(speed) => onChange({ speed })}
          />
        </>
      )}
    </div>
  );
}

interface QuantitySliderProps {
  readonly label: string;
  readonly unit: string;
  readonly step: number;
  readonly span: Span | undefined;
  readonly value: number;
  readonly onChange: (value: number) => void;
}

/** A quantity over the axis that the tables have for it; hidden where no table depends on it. */
function QuantitySlider({ label, unit, step, span, value, onChange }: QuantitySliderProps) {
  /** Where the thumb is while it is dragged; the address follows when it is let go. */
  const [dragged, setDragged] = useState<number | null>(null);
  if (span === undefined) return null;
  const shown = dragged ?? value;
  const quantity = (amount: number) => formatQuantity(amount, unit, 0);
  return (
    <div className={classes.slider}>
      <div className={classes.sliderHead}>
        <span>{label}</span> <strong>{quantity(shown)}</strong>
      </div>
      <Slider
        size="sm"
        min={span.low}
        max={span.high}
        step={step}
        value={shown}
        label={null}
        thumbLabel={`${label} (${unit})`}
        onChange={setDragged}
        onChangeEnd={(amount) => {
          setDragged(null);
          onChange(amount);
        }}
      />
      <div className={classes.sliderEnds}>
        <span>{quantity(span.low)}</span>
        <span>{quantity(span.high)}</span>
      </div>
    </div>
  );
}
