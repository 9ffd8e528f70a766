import type { MatrixResponse } from '@syncline/contract';
import { formatShare } from '../../format/rate.js';
import { HelpTerm } from '../../parts/help-term.js';
import { cssColour, faded, sequentialColour } from '../../theme/palette.js';
import { useScheme } from '../../theme/use-scheme.js';
import classes from './matrix.module.css';
import { scaleEnd } from './matrix-colour.js';

const RAMP = `linear-gradient(to right, ${Array.from({ length: 10 }, (_, step) => cssColour(sequentialColour(step / 9))).join(', ')})`;

/** What colour, fading and hatching say. */
export function MatrixLegend({ matrix }: { readonly matrix: MatrixResponse }) {
  const scheme = useScheme();
  const washed = cssColour(faded(sequentialColour(0.5), 0.45, scheme));
  return (
    <div className={classes.legend}>
      <span className={classes.key}>
        0 <span className={classes.ramp} style={{ background: RAMP }} /> {formatShare(scaleEnd(matrix))}
      </span>
      <span className={classes.key}>
        <span className={`${classes.swatch} hatched`} style={{ backgroundColor: washed }} /> faded, then hatched: wide{' '}
        <HelpTerm term="interval">interval</HelpTerm>
      </span>
      <span className={classes.key}>
        <span className={`${classes.swatch} hatched`} /> no colour: too few, “7 of 30 shifts”
      </span>
    </div>
  );
}
