import { Slider } from '@mantine/core';
import { useState } from 'react';
import { formatQuantity } from '../../format/quantity.js';
import classes from './commanded.module.css';

interface QuantitySliderProps {
  readonly label: string;
  readonly unit: string;
  readonly step: number;
  readonly low: number;
  readonly high: number;
  readonly value: number;
  /** The thumb is being dragged; the value is not chosen yet. */
  readonly onDrag?: (value: number) => void;
  readonly onChange: (value: number) => void;
}

/** A quantity between the ends of an axis. */
export function QuantitySlider({ label, unit, step, low, high, value, onDrag, onChange }: QuantitySliderProps) {
  /** Where the thumb is while it is dragged; the address follows when it is let go. */
  const [dragged, setDragged] = useState<number | null>(null);
  const shown = dragged ?? value;
  const quantity = (amount: number) => formatQuantity(amount, unit, 0);
  return (
    <div className={classes.slider}>
      <div className={classes.sliderHead}>
        <span>{label}</span> <strong>{quantity(shown)}</strong>
      </div>
      <Slider
        size="sm"
        min={low}
        max={high}
        step={step}
        value={shown}
        label={null}
        thumbLabel={`${label} (${unit})`}
        onChange={(amount) => {
          setDragged(amount);
          onDrag?.(amount);
        }}
        onChangeEnd={(amount) => {
          setDragged(null);
          onChange(amount);
        }}
      />
      <div className={classes.sliderEnds}>
        <span>{quantity(low)}</span>
        <span>{quantity(high)}</span>
      </div>
    </div>
  );
}
