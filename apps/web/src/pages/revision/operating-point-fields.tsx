import { Select } from '@mantine/core';
import type { LayoutDocument, PlatformDocument } from '@syncline/contract';
import classes from './commanded.module.css';
import { askableRules, type OperatingPoint } from './operating-point.js';
import { QuantitySlider } from './quantity-slider.js';
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
      {spans.fluidTemperature !== undefined && (
        <QuantitySlider
          label="Fluid temperature"
          unit="°C"
          step={1}
          low={spans.fluidTemperature.low}
          high={spans.fluidTemperature.high}
          value={point.fluidTemperature}
          onChange={(fluid) => onChange({ fluid })}
        />
      )}
      {hasPlace && spans.load !== undefined && (
        <QuantitySlider
          label="Load"
          unit="%"
          step={1}
          low={spans.load.low}
          high={spans.load.high}
          value={point.load}
          onChange={(load) => onChange({ load })}
        />
      )}
      {hasPlace && spans.inputSpeed !== undefined && (
        <QuantitySlider
          label="Input speed"
          unit="rpm"
          step={10}
          low={spans.inputSpeed.low}
          high={spans.inputSpeed.high}
          value={point.inputSpeed}
          onChange={(speed) => onChange({ speed })}
        />
      )}
    </div>
  );
}
