import type { Effect } from '@syncline/contract';
import { EffectBar } from '../../charts/effect-bar.js';
import { EffectSwatch } from '../../charts/effect-swatch.js';
import { counted, formatCount } from '../../format/quantity.js';
import classes from './compare.module.css';
import { insufficientWords, pointsInterval, pointsWords } from './effect-words.js';

interface EffectCellProps {
  readonly effect: Effect;
  /** Both ends of the bar lie this far from 0, as a share. */
  readonly reach: number;
  readonly isHollow?: boolean;
  /** A swatch of the difference ramp, faded by what is not known, beside the figure. */
  readonly isShaded?: boolean;
}

/** A difference of rates never stands alone: interval, counts and picture with it, or why there is none. */
export function EffectCell({ effect, reach, isHollow = false, isShaded = false }: EffectCellProps) {
  if (effect.kind === 'insufficient') {
    return <span className={`${classes.insufficient} hatched`}>{insufficientWords(effect)}</span>;
  }
  return (
    <span className={classes.effect} title={`${100 * effect.difference} percentage points`}>
      <span>
        {isShaded && <EffectSwatch {...effect} reach={reach} />}
        <strong>{pointsWords(effect.difference)}</strong>{' '}
        <span className={classes.soft}>({pointsInterval(effect)})</span>
      </span>
      <EffectBar {...effect} reach={reach} isHollow={isHollow} />
      <span className={classes.soft}>
        {formatCount(effect.shifts)} shifts in {counted(effect.vehicles, 'car')}
      </span>
    </span>
  );
}
