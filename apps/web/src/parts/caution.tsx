import type { ReactNode } from 'react';
import classes from './caution.module.css';

/** A caution beside the act that it belongs to. */
export function Caution({ title, children }: { readonly title: string; readonly children: ReactNode }) {
  return (
    <aside className={classes.caution} aria-label={title}>
      <strong>{title}.</strong> {children}
    </aside>
  );
}

/** What stands wherever a person drives for the club or uploads a drive. */
export function DrivingCaution() {
  return (
    <Caution title="Never look at a screen while driving">
      Start the recording before the drive and read it after. Local law and your road authority’s inspection rules come
      first; have work on the gearbox done or checked by a qualified workshop.
    </Caution>
  );
}

/** What stands wherever a person is asked to drive for a figure. */
export function AskedDriveCaution() {
  return (
    <Caution title="Only where it is legal and safe">
      Drive as traffic, weather and the law allow, never for the sake of a figure. Nobody operates anything or looks at
      a screen while the car moves: the logger is started before the drive and read after it. Leave out what does not
      come about by itself. Local law, your road authority’s inspection rules and a qualified workshop come first.
    </Caution>
  );
}

/** What stands wherever maps leave for a car. */
export function MapsCaution() {
  return (
    <Caution title="Before maps go into a car">
      Only into a car whose gearbox, layout version and observed bus dialect match. Wrong pressure can damage a gearbox
      and endanger people. Try them first where the law allows and nobody else is at risk; your road authority’s
      inspection rules and a qualified workshop come first.
    </Caution>
  );
}
