import { RampKey } from '../../charts/ramp-key.js';
import { HelpTerm } from '../../parts/help-term.js';
import { cssColour, faded, sequentialColour } from '../../theme/palette.js';
import { useScheme } from '../../theme/use-scheme.js';
import classes from './matrix.module.css';
import type { ColourScale } from './matrix-colour.js';

interface MatrixLegendProps {
  readonly scale: ColourScale;
  readonly isRate: boolean;
}

/** What colour, fading and hatching say. */
export function MatrixLegend({ scale, isRate }: MatrixLegendProps) {
  const scheme = useScheme();
  const washed = cssColour(faded(sequentialColour(0.5), 0.45, scheme));
  return (
    <div className={classes.legend}>
      <RampKey low={scale.lowText} high={scale.highText} colourAt={sequentialColour} />
      {isRate ? (
        <span className={classes.key}>
          <span className={`${classes.swatch} hatched`} style={{ backgroundColor: washed }} /> faded, then hatched: wide{' '}
          <HelpTerm term="interval">interval</HelpTerm>
        </span>
      ) : (
        <span>
          Colour is the median; below it, <HelpTerm term="spread">where nine in ten lie</HelpTerm>
        </span>
      )}
      <span className={classes.key}>
        <span className={`${classes.swatch} hatched`} /> no colour: too few, “7 of 30 shifts”
      </span>
    </div>
  );
}
